"""What is in a vehicle's modules already, by the shop's own programming: an update is not installed twice."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.bay.on_file import Programmed
from kb.nouns.concerns import FollowUpResult
from kb.nouns.days import day_words
from kb.nouns.vehicles import CalibrationStep, fold_id
from kb.outcomes.story import Story, stories_on
from kb.vehicle.updates_on_file import UpdateOnFile, UpdatesOnFile

OnceInstalled = Callable[[int], Collection[str]]
"""Every ID, as compared, that a note ever installed, by its earlier versions; asked only where it matters."""


class Since(StrEnum):
    """When an update went in, as seen from one concern."""

    BEFORE = "before"
    OWN = "own"
    SAME_VISIT = "same_visit"


@dataclass(frozen=True, slots=True)
class InModule:
    """An update that is in its module, with the concerns (`refs`) it was installed for."""

    module: str
    name: str
    since: Since
    installed_on: date
    refs: tuple[str, ...]
    stories: tuple[Story, ...]

    @property
    def is_candidate(self) -> bool:
        """What went in for another line of this visit may still be counted for this concern."""
        return self.since is Since.SAME_VISIT

    @property
    def notice(self) -> str:
        """What is installed, since when, and what to do about it."""
        refs = " and ".join(self.refs)
        went_in = f"{self.name} went into the {self.module} on {day_words(self.installed_on)}"
        if self.since is Since.OWN:
            failed = any(one.failed_on for one in self.stories)
            told = "and did not cure it: not tried again" if failed else "and is in it now: not offered again"
            return f"{went_in} for this concern {told}."
        if self.since is Since.SAME_VISIT:
            return (
                f"{went_in} for {refs}, after this concern was opened: count that sitting for it too "
                "(record programming, same day) instead of programming again."
            )
        heard = {said.result for one in self.stories for said in one.heard}
        recorded = FollowUpResult.CAME_BACK in heard
        told = "its comeback is recorded there" if recorded else "record there that it came back"
        return (
            f"{went_in} ({refs}) and is still in it by our records: it is no candidate again. "
            f"If this is the same concern, {told}. A look-up by VIN shows whether a newer one is out."
        )


def programmed_for(file: ConcernFile, updates: UpdatesOnFile) -> tuple[UpdateOnFile, ...]:
    """Published updates that were programmed for a concern, however it ended, the last first."""
    return _published(file.reflashes, updates)


def programmed_before(file: ConcernFile, updates: UpdatesOnFile) -> tuple[UpdateOnFile, ...]:
    """Those of the concern, then those in its vehicle: no candidates, yet a form that records what was done
    must be able to name them.
    """
    return tuple(dict.fromkeys((*programmed_for(file, updates), *_published(_installed(file), updates))))


def _published(done: Sequence[Programmed], updates: UpdatesOnFile) -> tuple[UpdateOnFile, ...]:
    ids = dict.fromkeys(updates.kept(one.update_id) for one in reversed(done) if one.update_id)
    return tuple(updates.by_id[one] for one in ids if one in updates.by_id)


def _installed(file: ConcernFile) -> list[Programmed]:
    """Every completed or recovered programming of the vehicle, oldest first."""
    return [one for one in file.programmed if one.installed]


def already_in(
    file: ConcernFile,
    update: UpdateOnFile,
    step: CalibrationStep,
    updates: UpdatesOnFile,
    once_installed: OnceInstalled,
) -> InModule | None:
    """The programming by which this update is in the module of its step; None where it is not, or no longer.

    Only the last programming of the module counts. None where the vehicle was updated over the air since,
    where the module was replaced since, or where what is in it now is another ID than the bulletin's.
    """
    mine = [one for one in _installed(file) if _of_module(one, update, step, updates)]
    if not mine:
        return None
    last = [one for one in mine if one.reflash_id == mine[-1].reflash_id]
    since = _since(file, last)
    every = {one.reflash.outcome_id: one for some in stories_on(file).values() for one in some}
    stories = {one.outcome_id: every[one.outcome_id] for one in last}
    if any(one.ends_on for one in stories.values()):
        return None
    if since is Since.BEFORE and file.has_fault("module_original"):
        return None
    if not _still_in(file, last[0], update, step, since, updates, once_installed):
        return None
    own_first = sorted(last, key=lambda one: one.concern_id != file.id)
    kept = own_first[:1] if since is Since.OWN else own_first
    return InModule(
        step.module or mine[-1].module,
        update.name,
        since,
        kept[0].performed_on,
        tuple(file.ref_of(one.concern_id) for one in kept),
        tuple(stories[one.outcome_id] for one in kept),
    )


def _of_module(one: Programmed, update: UpdateOnFile, step: CalibrationStep, updates: UpdatesOnFile) -> bool:
    """Whether it was of that module; one that was called otherwise counts by its update."""
    named = fold_id(one.module)
    if named == fold_id(step.module):
        return True
    return _is_update(one, update, updates) and named not in {fold_id(each.module) for each in update.steps}


def _is_update(one: Programmed, update: UpdateOnFile, updates: UpdatesOnFile) -> bool:
    return one.update_id is not None and updates.kept(one.update_id) == update.note_id


def _since(file: ConcernFile, last: Sequence[Programmed]) -> Since:
    if any(one.concern_id == file.id for one in last):
        return Since.OWN
    return Since.BEFORE if file.was_opened_after(last[0]) else Since.SAME_VISIT


def _still_in(
    file: ConcernFile,
    last: Programmed,
    update: UpdateOnFile,
    step: CalibrationStep,
    since: Since,
    updates: UpdatesOnFile,
    once_installed: OnceInstalled,
) -> bool:
    """Whether the bulletin's new ID, or what it installed, is what the module holds by the newest reading."""
    new, after = fold_id(step.new_id), fold_id(last.calibration_after)
    named = _is_update(last, update, updates)
    read = _read_since(file, last, step.module, since, (step.new_id, last.calibration_after))
    if read and read not in (new, after):
        return False
    inside = read or after or (new if named else "")
    if inside == new:
        return bool(new) or (named and not update.ids_known)
    if not named:
        return False
    lineage = updates.lineage(file.vehicle.make)
    if new in {fold_id(one) for one in lineage.newer_than(step.module, inside)}:
        return False
    return since is Since.OWN or inside not in once_installed(update.note_id)


def _read_since(
    file: ConcernFile, last: Programmed, module: str, since: Since, wanted: Collection[str]
) -> str:
    """The ID last read on this concern after that programming, for comparing; empty if none was. Of several
    in a module a wanted one.
    """
    read = [
        fold_id(one.speaking_of(wanted).calibration_id)
        for one in file.readings
        if fold_id(one.module) == fold_id(module)
        and (since is Since.BEFORE or (one.read_at is not None and one.read_at > last.recorded_at))
    ]
    return read[-1] if read else ""
