"""Which notes are for a vehicle, decided for all notes at once by make, model and year.

The exact decision (engine, build dates, VIN) is taken later for the notes shown.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from kb.nouns.vehicles import Applies, Vehicle
from kb.search.query import IndexEntry

NO, CANNOT_TELL, YES = 0, 1, 2
APPLIES = (Applies.NO, Applies.CANNOT_TELL, Applies.YES)
_ANY_YEAR = (0, 32_000)
_ENGINE, _BUILT, _VIN = 1, 2, 4


def plain_name(name: str) -> str:
    """A make or model with case, spaces and hyphens folded: "F-150" and "f 150" are one."""
    return re.sub(r"[\s\-\u2010-\u2015_]+", "", name.casefold())


class Standing:
    """Coverage lines of a segment as columns."""

    def __init__(self, entries: Sequence[IndexEntry]) -> None:
        self._size = len(entries)
        self._makes: dict[str, int] = {}
        self._models: dict[str, int] = {"": -1}
        self._plain: dict[str, str] = {}
        rows = [row for note, entry in enumerate(entries) for row in self._rows(note, entry)]
        table = np.array(rows, dtype=np.int32).reshape(-1, 6)
        table = table[np.argsort(table[:, 1], kind="stable")]
        self._note, self._make, self._model, self._from, self._to, self._asks = np.ascontiguousarray(table.T)
        self._make_ends = np.searchsorted(self._make, np.arange(len(self._makes) + 1))
        self._open = np.ones(self._size, dtype=bool)
        self._open[self._note] = False

    def of(self, vehicle: Vehicle, recorded: bool) -> NDArray[np.int8] | None:
        """NO, CANNOT_TELL or YES for every note; None when nothing of a vehicle was said."""
        if not recorded and not (vehicle.make or vehicle.model or vehicle.year):
            return None
        rows = self._rows_of_make(vehicle.make)
        yes = np.ones(rows.stop - rows.start, dtype=bool)
        known = self._fits(rows, vehicle, yes)
        standing = np.zeros(self._size, dtype=np.int8)
        standing[self._open] = CANNOT_TELL
        notes = self._note[rows]
        unsure = yes & ~known if recorded else np.zeros_like(yes)
        standing[notes[unsure]] = CANNOT_TELL
        standing[notes[yes & ~unsure]] = YES
        return standing

    def without_vehicle(self) -> NDArray[np.int8]:
        """YES where a note has coverage, CANNOT_TELL where it has none."""
        return np.where(self._open, CANNOT_TELL, YES).astype(np.int8)

    def _rows_of_make(self, make: str) -> slice:
        if not make:
            return slice(0, len(self._note))
        number = self._makes.get(self._fold(make))
        if number is None:
            return slice(0, 0)
        return slice(int(self._make_ends[number]), int(self._make_ends[number + 1]))

    def _fits(self, rows: slice, vehicle: Vehicle, yes: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """Clears `yes` where a known field contradicts a line; returns where all fields asked for are known."""
        asks_model = self._model[rows] >= 0
        asks_year = self._to[rows] < _ANY_YEAR[1]
        known = np.full(len(yes), bool(vehicle.make))
        if vehicle.model:
            yes &= ~asks_model | (self._model[rows] == self._models.get(self._fold(vehicle.model), -2))
        else:
            known &= ~asks_model
        if vehicle.year:
            yes &= (self._from[rows] <= vehicle.year) & (vehicle.year <= self._to[rows])
        else:
            known &= ~asks_year
        lacks = (not vehicle.engine) * _ENGINE + (not vehicle.built_on) * _BUILT + (not vehicle.vin) * _VIN
        return np.asarray(known & ((self._asks[rows] & lacks) == 0))

    def _rows(self, note: int, entry: IndexEntry) -> list[tuple[int, int, int, int, int, int]]:
        rows = []
        for line in entry.coverage:
            make = self._makes.setdefault(self._fold(line.make), len(self._makes))
            model = self._models.setdefault(self._fold(line.model), len(self._models))
            asks = bool(line.engine) * _ENGINE + bool(line.vin_prefix) * _VIN
            asks += (line.built_from is not None or line.built_to is not None) * _BUILT
            rows.extend((note, make, model, first, last, asks) for first, last in line.years or (_ANY_YEAR,))
        return rows

    def _fold(self, name: str) -> str:
        plain = self._plain.get(name)
        if plain is None:
            plain = plain_name(name)
            if len(self._plain) < 100_000:
                self._plain[name] = plain
        return plain
