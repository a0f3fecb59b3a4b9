"""Which notes are for a vehicle, decided for all notes at once by make, model and year.

The rule is that of kb/vehicle/coverage.py; the exact decision (engine, build dates, VIN) is taken later for
the notes shown.
"""

from __future__ import annotations

from copy import copy
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kb.nouns.model_years import known_year
from kb.nouns.vehicles import Applies, CoverageLine, Vehicle
from kb.search.stored.coverage import ANY_MAKE, ANY_MODEL, ANY_YEAR, BUILT, ENGINE, VIN, Covered
from kb.search.text import Ints
from kb.search.vehicle.names import CANNOT_TELL, NO, YES, NamesCovered
from kb.vehicle.families import Families
from kb.vehicle.makes import folded_make

APPLIES = (Applies.NO, Applies.CANNOT_TELL, Applies.CANNOT_TELL, Applies.YES)
"""By standing. A note for another model of the family cannot tell either, and ranks lowest of those."""
Rows = slice | NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Eligible:
    """Notes in ascending order and, for each, OTHER_MODEL, CANNOT_TELL or YES."""

    notes: Ints
    standing: NDArray[np.int8]


class Standing:
    """Coverage lines of a segment as columns, sorted by make."""

    def __init__(self, covered: Covered, families: Families) -> None:
        self.covered = covered
        self._makes = {make: number for number, make in enumerate(covered.makes)}
        is_open = np.ones(covered.size, dtype=bool)
        is_open[covered.note] = False
        self._open = np.flatnonzero(is_open).astype(np.int32)
        self.unasked = np.where(is_open, CANNOT_TELL, YES).astype(np.int8)
        """Of every note when nothing of a vehicle was said: a note without coverage is CANNOT_TELL."""
        self._lines = [CoverageLine(*names) for names in covered.models]
        self.names = NamesCovered(self._lines, covered.printed, families)

    def with_families(self, families: Families) -> Standing:
        """The same, with the names of models read by other families."""
        other = copy(self)
        other.names = NamesCovered(self._lines, self.names.makes, families)
        return other

    def eligible(self, vehicle: Vehicle, recorded: bool) -> Eligible | None:
        """The notes not ruled out for a vehicle; None when nothing of a vehicle was said."""
        if not recorded and not (vehicle.make or vehicle.model or vehicle.year):
            return None
        notes, standing = self._covering(vehicle, recorded)
        if not len(self._open):
            return Eligible(notes, standing)
        notes = np.concatenate((notes, self._open))
        standing = np.concatenate((standing, np.full(len(self._open), CANNOT_TELL, dtype=np.int8)))
        order = np.argsort(notes, kind="stable")
        return Eligible(notes[order], standing[order])

    def covering(self, vehicle: Vehicle) -> Ints:
        """The notes that name a vehicle on record, or may mean it; those without coverage do not."""
        return self._covering(vehicle, recorded=True)[0]

    def _covering(self, vehicle: Vehicle, recorded: bool) -> tuple[Ints, NDArray[np.int8]]:
        """The notes that a line makes eligible, ascending, and how the best line of each stands."""
        rows = self._rows_of_make(vehicle.make)
        stands = self._stands(rows, vehicle, recorded)
        kept = np.flatnonzero(stands)
        notes, stands = self.covered.note[rows][kept], stands[kept]
        if not len(notes):
            return notes, stands
        if (notes[1:] < notes[:-1]).any():  # lines lie by make, and of one make by note
            order = np.argsort(notes, kind="stable")
            notes, stands = notes[order], stands[order]
        first = np.flatnonzero(np.diff(notes, prepend=notes[0] - 1))
        return notes[first], np.maximum.reduceat(stands, first)

    def _rows_of_make(self, make: str) -> Rows:
        """The lines of a make, and those of any make."""
        if not make:
            return slice(0, len(self.covered.note))
        number = self._makes.get(folded_make(make), ANY_MAKE)
        anyone, first, last = (int(self.covered.make_ends[at]) for at in (1, number, number + 1))
        if number == ANY_MAKE or not anyone:
            return slice(first, last)
        return np.concatenate((np.arange(anyone), np.arange(first, last)))

    def _stands(self, rows: Rows, vehicle: Vehicle, recorded: bool) -> NDArray[np.int8]:
        """How each line stands by itself."""
        models, year = self.covered.model[rows], known_year(vehicle.year)
        if vehicle.model:
            stands: NDArray[np.int8] = self.names.standing_of(vehicle)[models]
        else:
            stands = np.full(len(models), YES, dtype=np.int8)
        if year:
            stands[(self.covered.first[rows] > year) | (year > self.covered.last[rows])] = NO
        if recorded:
            stands[(stands == YES) & ~self._told(rows, models, vehicle)] = CANNOT_TELL
        return stands

    def _told(self, rows: Rows, models: Ints, vehicle: Vehicle) -> NDArray[np.bool_]:
        """Which lines ask only for what is known of the vehicle."""
        told = (self.covered.make[rows] == ANY_MAKE) | bool(vehicle.make)
        if not vehicle.model:
            told &= models == ANY_MODEL
        if not known_year(vehicle.year):
            told &= self.covered.last[rows] == ANY_YEAR[1]
        lacks = (not vehicle.engine) * ENGINE + (not vehicle.built_on) * BUILT + (not vehicle.vin) * VIN
        return np.asarray(told & ((self.covered.asks[rows] & lacks) == 0))
