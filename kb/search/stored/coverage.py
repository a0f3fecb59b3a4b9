"""What notes are for, as columns: a row for each make, model and range of years that a note names."""

from __future__ import annotations

from array import array
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import chain
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
_WIDE = 5


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
        self._rows = array("i")
        self._row_ends = array("i", [0])
        """Where the rows of each distinct line end."""
        self._lines, self._line_ends = array("i"), array("i", [0])
        """Which lines notes have, and where those of each end."""
        # By object: many notes share a line, and hashing one is slow. Kept, so that no other gets its id.
        self._known: dict[int, tuple[int, CoverageLine]] = {}

    def take(self, entries: Sequence[IndexEntry]) -> None:
        for entry in entries:
            for line in entry.coverage:
                known = self._known.get(id(line))
                if known is None:
                    known = self._known[id(line)] = self._numbered(line), line
                self._lines.append(known[0])
            self._line_ends.append(len(self._lines))

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
        for mine, theirs, more in (
            (self._lines, other._lines, len(self._row_ends) - 1),
            (self._line_ends, other._line_ends[1:], len(self._lines)),
            (self._row_ends, other._row_ends[1:], len(self._rows) // _WIDE),
        ):
            mine.frombytes((np.array(theirs, dtype=np.int32) + np.int32(more)).tobytes())
        rows = np.array(other._rows, dtype=np.int32).reshape(-1, _WIDE)
        for column, numbers in enumerate((makes, models)):
            rows[:, column] = np.array(numbers, dtype=np.int32)[rows[:, column]]
        self._rows.frombytes(rows.tobytes())

    def __getstate__(self) -> dict[str, Any]:
        """For another process, where no line is the object that it was here."""
        return self.__dict__ | {"_known": {}}

    def made(self) -> Covered:
        """What was taken, by make."""
        size = len(self._line_ends) - 1
        lines, line_ends, row_ends = (np.array(one) for one in (self._lines, self._line_ends, self._row_ends))
        many = np.diff(row_ends)[lines]
        note = np.repeat(np.repeat(np.arange(size, dtype=np.int32), np.diff(line_ends)), many)
        rows = np.repeat(row_ends[1:][lines] - np.cumsum(many), many) + np.arange(len(note))
        table = np.array(self._rows, dtype=np.int32).reshape(-1, _WIDE)[rows]
        order = np.argsort(table[:, 0], kind="stable")
        make, model, first, last, asks = np.ascontiguousarray(table[order].T)
        ends = np.searchsorted(make, np.arange(len(self._makes) + 1))
        named = tuple(self._makes), self._printed, tuple(self._models)
        return Covered(note[order], make, model, first, last, asks, ends, size, *named)

    def _numbered(self, line: CoverageLine) -> int:
        """The number of a line that was not met so far."""
        self._rows.extend(chain.from_iterable(self._cells_of(line)))
        self._row_ends.append(len(self._rows) // _WIDE)
        if (make := folded_make(line.make)) not in self._printed:
            self._printed[make] = usual_make(line.make)
        return len(self._row_ends) - 2

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
