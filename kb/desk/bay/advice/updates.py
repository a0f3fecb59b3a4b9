"""The updates on file and the calibration lineages they make, remembered until a note changes.

Promise: one frozen value per notes revision. A lineage is of one make, since two makes may print the same ID.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from kb.desk.context import Desk
from kb.nouns.notes import RECALLS, CodeKind, Remedy, SpeaksAgainst
from kb.nouns.vehicles import CalibrationStep, Coverage, CoverageLine
from kb.records.store.notes import updates as store
from kb.records.store.notes.notes import calibration_step, coverage_line
from kb.vehicle.families import fold
from kb.vehicle.lineage import Lineage, fold_id

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
        return frozenset(fold(line.make) for line in self.coverage)

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
    return not update.makes or fold(make) in update.makes


@dataclass(frozen=True, slots=True)
class UpdatesOnFile:
    by_id: Mapping[int, UpdateOnFile]
    lineages: Mapping[str, Lineage]
    merged: Mapping[int, int]

    def lineage(self, make: str) -> Lineage:
        return self.lineages.get(fold(make)) or self.lineages.get(ANY_MAKE) or Lineage.of(())

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


def on_file(desk: Desk) -> UpdatesOnFile:
    """Every published update, from memory while no note and no check has changed."""
    revisions = desk.revisions()
    key = (revisions["notes"], revisions["notes_removed"], revisions["settings"])
    return desk.memory.recall("updates", key, lambda: _gather(desk))


def _gather(desk: Desk) -> UpdatesOnFile:
    rows = store.published_updates(desk.session, desk.shop.id)
    ids = [row.id for row in rows if row.id is not None]
    steps: dict[int, list[CalibrationStep]] = defaultdict(list)
    lines: dict[int, list[CoverageLine]] = defaultdict(list)
    codes: dict[int, dict[str, CodeKind]] = defaultdict(dict)
    checks: dict[int, set[int]] = defaultdict(set)
    for some in (ids[start : start + 900] for start in range(0, len(ids), 900)):
        for step in store.steps(desk.session, some):
            steps[step.note_id].append(calibration_step(step))
        for line in store.coverage(desk.session, some):
            lines[line.note_id].append(coverage_line(line))
        for code in store.codes(desk.session, some):
            codes[code.note_id][code.code] = CodeKind(code.kind)
        for attached in store.attachments(desk.session, some):
            checks[attached.note_id].add(attached.check_id)
    by_id = {
        note_id: UpdateOnFile(
            note_id,
            row.number,
            row.title,
            row.system,
            row.conditions,
            frozenset(codes[note_id]),
            frozenset(code for code, kind in codes[note_id].items() if kind is CodeKind.DEFINING),
            tuple(steps[note_id]),
            tuple(lines[note_id]),
            frozenset(checks[note_id]),
            tuple(SpeaksAgainst(**one) for one in row.speaks_against),
            Remedy(row.remedy),
            row.version,
            row.symptom,
            row.remedy_module,
            row.source == RECALLS,
        )
        for note_id, row in zip(ids, rows, strict=True)
    }
    return UpdatesOnFile(by_id, _lineages(by_id), store.merged_into(desk.session, desk.shop.id))


def _lineages(by_id: Mapping[int, UpdateOnFile]) -> dict[str, Lineage]:
    steps: dict[str, list[CalibrationStep]] = defaultdict(list)
    for update in by_id.values():
        for make in update.makes or {ANY_MAKE}:
            steps[make].extend(update.steps)
    return {make: Lineage.of(some) for make, some in steps.items()}
