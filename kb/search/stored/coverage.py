"""What notes are for, as columns: a row for each make, model and range of years that a note names."""

from __future__ import annotations

from array import array
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kb.nouns.model_years import known_ranges
from kb.nouns.vehicles import CoverageLine
from kb.search.query import IndexEntry
from kb.search.text import Ints
from kb.vehicle.makes import folded_make, usual_make

ANY_YEAR = (0, 32_000)
ANY_MAKE, ANY_MODEL = 0, 0
ENGINE, BUILT, VIN = 1, 2, 4
"""What a line asks of a vehicle beyond make, model and year, as bits."""

_Cells = tuple[int, int, int, int, int]


@dataclass(frozen=True, slots=True)
class Covered:
    """Rows sorted by make, those of a make between two of `make_ends`; `size` notes in all.

    `makes` are folded names by number, `printed` how each is written, `models` (make, model) by number, each
    beginning with one for any.
    """

    note: Ints
    make: Ints
    model: Ints
    first: Ints
    last: Ints
    asks: Ints
    make_ends: NDArray[np.int64]
    size: int
    makes: Sequence[str]
    printed: Mapping[str, str]
    models: Sequence[tuple[str, str]]


class StandingRows:
    """Takes entries in, some at a time."""

    def __init__(self) -> None:
        self._makes: dict[str, int] = {"": ANY_MAKE}
        self._printed: dict[str, str] = {}
        self._numbers: dict[tuple[int, str], int] = {}
        self._models: list[tuple[str, str]] = [("", "")]
        self._cells = array("i")
        self._size = 0
        # By object: many notes share a line, and hashing one is slow. Kept, so that no other gets its id.
        self._known: dict[int, tuple[CoverageLine, list[_Cells]]] = {}

    def take(self, entries: Sequence[IndexEntry]) -> None:
        for note, entry in enumerate(entries, self._size):
            for line in entry.coverage:
                known = self._known.get(id(line))
                if known is None:
                    known = self._known[id(line)] = line, self._cells_of(line)
                    self._printed.setdefault(folded_make(line.make), usual_make(line.make))
                for row in known[1]:
                    self._cells.append(note)
                    self._cells.extend(row)
        self._size += len(entries)

    def join(self, other: StandingRows) -> None:
        """Take in what another took."""
        makes = [self._makes.setdefault(name, len(self._makes)) for name in other._makes]
        models = [ANY_MODEL]
        for (make, name), names in zip(other._numbers, other._models[1:], strict=True):
            models.append(self._numbers.setdefault((makes[make], name), len(self._models)))
            if models[-1] == len(self._models):
                self._models.append(names)
        for folded, printed in other._printed.items():
            self._printed.setdefault(folded, printed)
        table = np.array(other._cells, dtype=np.int32).reshape(-1, 6)
        table[:, 0] += self._size
        table[:, 1] = np.array(makes, dtype=np.int32)[table[:, 1]]
        table[:, 2] = np.array(models, dtype=np.int32)[table[:, 2]]
        self._cells.frombytes(table.tobytes())
        self._size += other._size

    def __getstate__(self) -> dict[str, Any]:
        """For another process, where no line is the object that it was here."""
        return self.__dict__ | {"_known": {}}

    def made(self) -> Covered:
        """What was taken, by make."""
        table = np.frombuffer(self._cells, dtype=np.int32).reshape(-1, 6)
        note, make, *others = np.ascontiguousarray(table[np.argsort(table[:, 1], kind="stable")].T)
        model, first, last, asks = others
        ends = np.searchsorted(make, np.arange(len(self._makes) + 1))
        named = tuple(self._makes), self._printed, tuple(self._models)
        return Covered(note, make, model, first, last, asks, ends, self._size, *named)

    def _cells_of(self, line: CoverageLine) -> list[_Cells]:
        make = self._makes.setdefault(folded_make(line.make), len(self._makes))
        model = ANY_MODEL
        if line.model.strip():
            model = self._numbers.setdefault((make, line.model), len(self._models))
            if model == len(self._models):
                self._models.append((line.make, line.model))
        asks = (ENGINE if line.engine else 0) + (VIN if line.vin_prefix else 0)
        if line.built_from is not None or line.built_to is not None:
            asks += BUILT
        return [(make, model, first, last, asks) for first, last in known_ranges(line.years) or (ANY_YEAR,)]
