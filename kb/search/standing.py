"""Which notes are for a vehicle, decided for all notes at once by make, model and year.

The exact decision (engine, build dates, VIN) is taken later for the notes shown.
"""

from __future__ import annotations

import re
from array import array
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kb.nouns.vehicles import Applies, CoverageLine, Vehicle
from kb.search.query import IndexEntry

NO, CANNOT_TELL, YES = 0, 1, 2
APPLIES = (Applies.NO, Applies.CANNOT_TELL, Applies.YES)
_ANY_YEAR = (0, 32_000)
_ENGINE, _BUILT, _VIN = 1, 2, 4
_NO_MODEL = -1

Ints = NDArray[np.int32]
_Cells = tuple[int, int, int, int, int]


def plain_name(name: str) -> str:
    """A make or model with case, spaces and hyphens folded: "F-150" and "f 150" are one."""
    return re.sub(r"[\s\-\u2010-\u2015_]+", "", name.casefold())


@dataclass(frozen=True, slots=True)
class Eligible:
    """Notes in ascending order and, for each, CANNOT_TELL or YES."""

    notes: Ints
    standing: NDArray[np.int8]


class Standing:
    """Coverage lines of a segment as columns, sorted by make."""

    def __init__(self, entries: Sequence[IndexEntry]) -> None:
        self._makes: dict[str, int] = {}
        self._models: dict[str, int] = {"": _NO_MODEL}
        cells = array("i")
        known: dict[int, list[_Cells]] = {}  # by object: many notes share a line, and hashing one is slow
        for note, entry in enumerate(entries):
            for line in entry.coverage:
                rows = known.get(id(line))
                if rows is None:
                    rows = known[id(line)] = self._cells(line)
                for row in rows:
                    cells.append(note)
                    cells.extend(row)
        table = np.frombuffer(cells, dtype=np.int32).reshape(-1, 6)
        table = table[np.argsort(table[:, 1], kind="stable")]
        self._note, self._make, self._model, self._from, self._to, self._asks = np.ascontiguousarray(table.T)
        self._make_ends = np.searchsorted(self._make, np.arange(len(self._makes) + 1))
        is_open = np.ones(len(entries), dtype=bool)
        is_open[self._note] = False
        self._open = np.flatnonzero(is_open).astype(np.int32)
        self.unasked = np.where(is_open, CANNOT_TELL, YES).astype(np.int8)
        """Of every note when nothing of a vehicle was said: a note without coverage is CANNOT_TELL."""

    def eligible(self, vehicle: Vehicle, recorded: bool) -> Eligible | None:
        """The notes not ruled out for a vehicle; None when nothing of a vehicle was said."""
        if not recorded and not (vehicle.make or vehicle.model or vehicle.year):
            return None
        rows = self._rows_of_make(vehicle.make)
        fits, known = self._fits(rows, vehicle)
        notes = self._note[rows]
        sure = np.unique(notes[fits & known] if recorded else notes[fits])
        unsure = self._open
        if recorded:
            unsure = np.concatenate((unsure, np.setdiff1d(notes[fits & ~known], sure)))
        both = np.concatenate((sure, unsure))
        standing = np.repeat(np.array([YES, CANNOT_TELL], dtype=np.int8), (len(sure), len(unsure)))
        order = np.argsort(both, kind="stable")
        return Eligible(both[order], standing[order])

    def _rows_of_make(self, make: str) -> slice:
        if not make:
            return slice(0, len(self._note))
        number = self._makes.get(plain_name(make))
        if number is None:
            return slice(0, 0)
        return slice(int(self._make_ends[number]), int(self._make_ends[number + 1]))

    def _fits(self, rows: slice, vehicle: Vehicle) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
        """Which lines no known field contradicts, and which lines ask only for known fields."""
        fits = np.ones(rows.stop - rows.start, dtype=bool)
        known = np.full(len(fits), bool(vehicle.make))
        if vehicle.model:
            model = self._models.get(plain_name(vehicle.model), _NO_MODEL - 1)
            fits &= (self._model[rows] == _NO_MODEL) | (self._model[rows] == model)
        else:
            known &= self._model[rows] == _NO_MODEL
        if vehicle.year:
            fits &= (self._from[rows] <= vehicle.year) & (vehicle.year <= self._to[rows])
        else:
            known &= self._to[rows] == _ANY_YEAR[1]
        lacks = (not vehicle.engine) * _ENGINE + (not vehicle.built_on) * _BUILT + (not vehicle.vin) * _VIN
        return fits, known & ((self._asks[rows] & lacks) == 0)

    def _cells(self, line: CoverageLine) -> list[_Cells]:
        make = self._makes.setdefault(plain_name(line.make), len(self._makes))
        model = self._models.setdefault(plain_name(line.model), len(self._models))
        asks = _ENGINE if line.engine else 0
        if line.vin_prefix:
            asks += _VIN
        if line.built_from is not None or line.built_to is not None:
            asks += _BUILT
        return [(make, model, first, last, asks) for first, last in line.years or (_ANY_YEAR,)]
