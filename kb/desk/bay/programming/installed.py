"""What is in a vehicle's modules already, by the shop's own programming: an update is not installed twice."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.advice.updates import UpdateOnFile
from kb.desk.bay.concern import concerns as concerns_desk
from kb.desk.bay.concern.concern_lines import ref_of
from kb.desk.bay.outcomes.observed import stories_of
from kb.desk.context import Desk, anyone_in_the_shop
from kb.nouns.concerns import FollowUpResult
from kb.nouns.days import day_words
from kb.nouns.vehicles import CalibrationStep
from kb.outcomes.story import Story
from kb.records.store.bay import case as case_store
from kb.records.store.bay import sittings as store
from kb.records.store.bay.concerns import ConcernOnFile
from kb.records.store.bay.sittings import Installed
from kb.records.store.notes import notes as note_store
from kb.records.store.outcomes import outcomes as outcome_store
from kb.records.tables import Reflash
from kb.vehicle.lineage import fold_id


class Since(StrEnum):
    """When an update went in, as seen from one concern."""

    BEFORE = "before"
    OWN = "own"
    SAME_VISIT = "same_visit"


@dataclass(frozen=True, slots=True)
class InModule:
    """An update that is in its module, with the concerns it was installed for."""

    module: str
    name: str
    since: Since
    rows: tuple[Installed, ...]
    stories: tuple[Story, ...]

    @property
    def is_candidate(self) -> bool:
        """What went in for another line of this visit may still be counted for this concern."""
        return self.since is Since.SAME_VISIT

    @property
    def notice(self) -> str:
        """What is installed, since when, and what to do about it."""
        refs = " and ".join(ref_of(one.order.number, one.concern.line) for one in self.rows)
        went_in = f"{self.name} went into the {self.module} on {day_words(self.rows[0].event.performed_on)}"
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


@anyone_in_the_shop
def programmed_for(desk: Desk, concern_id: int) -> tuple[UpdateOnFile, ...]:
    """Published updates that were programmed for a concern, however it ended, the last first."""
    done = outcome_store.outcomes_of_concern(desk.session, concern_id)
    return _published(desk, [reflash for _, reflash, _ in done])


@anyone_in_the_shop
def programmed_before(desk: Desk, concern_id: int) -> tuple[UpdateOnFile, ...]:
    """Those of the concern, then those in its vehicle: no candidates, yet a form that records what was done
    must be able to name them.
    """
    here = installed_here(desk, concerns_desk.on_file(desk, concern_id))
    found = (*programmed_for(desk, concern_id), *_published(desk, [one.reflash for one in here]))
    return tuple(dict.fromkeys(found))


def _published(desk: Desk, done: Sequence[Reflash]) -> tuple[UpdateOnFile, ...]:
    updates = updates_desk.on_file(desk)
    ids = dict.fromkeys(updates.kept(one.update_id) for one in reversed(done) if one.update_id)
    return tuple(updates.by_id[one] for one in ids if one in updates.by_id)


def installed_here(desk: Desk, held: ConcernOnFile) -> tuple[Installed, ...]:
    """Every completed or recovered programming of the vehicle, oldest first."""
    return tuple(store.installed_on(desk.session, held.repair_order.vehicle_id))


def already_in(
    desk: Desk, held: ConcernOnFile, rows: Sequence[Installed], update: UpdateOnFile, step: CalibrationStep
) -> InModule | None:
    """The programming by which this update is in the module of its step; None where it is not, or no longer.

    Only the last programming of the module counts. None where the vehicle was updated over the air since,
    where the module was replaced since, or where what is in it now is another ID than the bulletin's.
    """
    mine = [one for one in rows if _of_module(desk, one, update, step)]
    if not mine:
        return None
    last = tuple(one for one in mine if one.reflash.id == mine[-1].reflash.id)
    since = _since(held, last)
    stories = _stories(desk, last)
    if any(one.ends_on for one in stories.values()):
        return None
    if since is Since.BEFORE and _module_replaced(desk, held):
        return None
    if not _still_in(desk, held, last[0], update, step, since):
        return None
    own_first = sorted(last, key=lambda one: one.concern.id != held.concern.id)
    kept = tuple(own_first[:1] if since is Since.OWN else own_first)
    told = tuple(stories[one.outcome.id or 0] for one in kept)
    return InModule(step.module or mine[-1].reflash.module, update.number or update.title, since, kept, told)


def _stories(desk: Desk, rows: Sequence[Installed]) -> dict[int, Story]:
    """By outcome, of at least these."""
    told = stories_of(desk, [one.concern.id or 0 for one in rows])
    return {one.reflash.outcome_id: one for some in told.values() for one in some}


def _of_module(desk: Desk, one: Installed, update: UpdateOnFile, step: CalibrationStep) -> bool:
    """Whether it was of that module; one that was called otherwise counts by its update."""
    named = fold_id(one.reflash.module)
    if named == fold_id(step.module):
        return True
    return _is_update(desk, one, update) and named not in {fold_id(each.module) for each in update.steps}


def _is_update(desk: Desk, one: Installed, update: UpdateOnFile) -> bool:
    kept = updates_desk.on_file(desk).kept
    return one.reflash.update_id is not None and kept(one.reflash.update_id) == update.note_id


def _since(held: ConcernOnFile, last: Sequence[Installed]) -> Since:
    if any(one.concern.id == held.concern.id for one in last):
        return Since.OWN
    event, row = last[0].event, held.concern
    same_day = event.performed_on == row.opened_on and event.recorded_at < row.opened_at
    return Since.BEFORE if event.performed_on < row.opened_on or same_day else Since.SAME_VISIT


def _still_in(
    desk: Desk,
    held: ConcernOnFile,
    last: Installed,
    update: UpdateOnFile,
    step: CalibrationStep,
    since: Since,
) -> bool:
    """Whether the bulletin's new ID, or what it installed, is what the module holds by the newest reading."""
    new, after = fold_id(step.new_id), fold_id(last.reflash.calibration_after)
    named = _is_update(desk, last, update)
    read = _read_since(desk, held, last, step.module, since)
    if read and read not in (new, after):
        return False
    inside = read or after or (new if named else "")
    if inside == new:
        return bool(new) or (named and not update.ids_known)
    if not named:
        return False
    lineage = updates_desk.on_file(desk).lineage(held.vehicle.make)
    if new in {fold_id(one) for one in lineage.newer_than(step.module, inside)}:
        return False
    return since is Since.OWN or not _revised_since(desk, update, inside)


def _read_since(desk: Desk, held: ConcernOnFile, last: Installed, module: str, since: Since) -> str:
    """The ID last read on this concern after that programming, for comparing; empty if none was."""
    read = [
        fold_id(row.calibration_id)
        for row in case_store.calibrations(desk.session, held.concern.id or 0)
        if fold_id(row.module) == fold_id(module)
        and (since is Since.BEFORE or row.read_at > last.event.recorded_at)
    ]
    return read[-1] if read else ""


def _revised_since(desk: Desk, update: UpdateOnFile, inside: str) -> bool:
    """Whether the bulletin once installed that ID and now installs another."""
    return any(
        fold_id(str(step.get("new_id", ""))) == inside
        for revision in note_store.revisions_of(desk.session, update.note_id)
        for step in revision.content.get("steps", ())
    )


def _module_replaced(desk: Desk, held: ConcernOnFile) -> bool:
    gates = case_store.gates(desk.session, held.concern.id or 0)
    return any(one.gate == "module_original" and one.result == "fault" for one in gates)
