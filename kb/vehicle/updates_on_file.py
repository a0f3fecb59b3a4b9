"""The updates on file and the calibration lineages that they make, as frozen values.

A lineage is of one make, since two makes may print the same ID.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from kb.nouns.notes import Remedy, SpeaksAgainst
from kb.nouns.vehicles import CalibrationStep, Coverage, fold_id
from kb.vehicle.lineage import Lineage
from kb.vehicle.makes import folded_make
from kb.vehicle.replaced import Replaced

ANY_MAKE = ""


@dataclass(frozen=True, slots=True)
class UpdateOnFile:
    """A published update as advice needs it. Of its `codes` the `defining` ones mark its condition."""

    note_id: int
    number: str
    title: str
    system: str
    conditions: str
    codes: frozenset[str]
    defining: frozenset[str]
    steps: tuple[CalibrationStep, ...]
    coverage: Coverage
    checks: frozenset[int]
    speaks_against: tuple[SpeaksAgainst, ...] = ()
    remedy: Remedy = Remedy.NOT_SAID
    version: int = 1
    symptom: str = ""
    remedy_module: str = ""
    is_recall: bool = False

    @property
    def name(self) -> str:
        """What it is called where there is little room."""
        return self.number or self.title

    @property
    def ids_known(self) -> bool:
        """Whether the calibration that it installs is on file."""
        return bool(self.steps)

    @property
    def remedy_or_software(self) -> Remedy:
        """What cures it. Records of updates whose remedies differ are never taken together."""
        return self.remedy or Remedy.SOFTWARE

    @property
    def modules(self) -> tuple[str, ...]:
        """The modules that it is for; without calibration steps the one of its remedy."""
        named = tuple(step.module for step in self.steps) or (self.remedy_module,)
        return tuple(dict.fromkeys(filter(None, named)))

    @property
    def makes(self) -> frozenset[str]:
        return frozenset(folded_make(line.make) for line in self.coverage)

    def step_for(self, calibration_ids: Mapping[str, str]) -> CalibrationStep:
        """The step that takes one of the IDs read by module, else the step of the first module.

        Where no IDs are on file it names the module alone, if that is known.
        """
        for step in self.steps:
            read = calibration_ids.get(fold_id(step.module), "")
            if read and fold_id(read) in {fold_id(one) for one in (*step.old_ids, step.new_id)}:
                return step
        for step in self.steps:
            if fold_id(step.module) in calibration_ids:
                return step
        return self.steps[0] if self.steps else CalibrationStep(self.remedy_module, (), "")


def is_of_make(update: UpdateOnFile, make: str) -> bool:
    """Whether it is for vehicles of a make; one without coverage may be for any."""
    return not update.makes or folded_make(make) in update.makes


@dataclass(frozen=True)
class UpdatesOnFile:
    """`merged`: a duplicate and the note that was kept; `replaced`: a note and those that replace it."""

    by_id: Mapping[int, UpdateOnFile]
    merged: Mapping[int, int]
    replaced: Replaced = field(default_factory=dict)
    _lineages: dict[str, Lineage] = field(default_factory=dict, compare=False, repr=False)

    @cached_property
    def by_make(self) -> Mapping[str, Sequence[UpdateOnFile]]:
        """By the folded make; those that say no vehicle by ANY_MAKE."""
        found: dict[str, list[UpdateOnFile]] = defaultdict(list)
        for update in self.by_id.values():
            for make in update.makes or {ANY_MAKE}:
                found[make].append(update)
        return dict(found)

    def lineage(self, make: str) -> Lineage:
        """That of a make, else that of no make; put together when it is asked for first."""
        wanted = folded_make(make)
        key = wanted if wanted in self.by_make else ANY_MAKE
        if key not in self._lineages:
            steps = (step for update in self.by_make.get(key, ()) for step in update.steps)
            self._lineages[key] = Lineage.of(steps)
        return self._lineages[key]

    def kept(self, note_id: int) -> int:
        """The note that counts for this one: itself, or the one it was merged into."""
        seen: set[int] = set()
        while note_id in self.merged and note_id not in seen:
            seen.add(note_id)
            note_id = self.merged[note_id]
        return note_id

    def counting_for(self, note_id: int) -> set[int]:
        """Every note whose reflashes count to the one that counts for this: it, and those merged into it."""
        kept = self.kept(note_id)
        return {kept, *(one for one in self.merged if self.kept(one) == kept)}
