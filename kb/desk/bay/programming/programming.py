"""Programming events: what was done to modules in one sitting, and what the road test said."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from kb.desk.access import shared_devices
from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.outcomes.observed import renew_outcomes, renew_vehicles
from kb.desk.bay.programming.programming_facts import keep_what_was_learned
from kb.desk.context import Desk, anyone_in_the_shop
from kb.desk.shop.equipment import list_equipment, support_units
from kb.desk.shop.subscriptions import is_entered
from kb.desk.shop.upkeep import versions_in_use
from kb.errors import BadInput, Conflict, NotFound
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.bay.on_file import PROGRAMMING_STARTED
from kb.nouns.concerns import (
    Duplicated,
    ModuleResult,
    ProgrammingEventDraft,
    RoadTest,
)
from kb.nouns.days import day_words
from kb.prep.id_after_programming import ask_about_ids
from kb.prep.programmed_twice import refuse_a_module_twice, refuse_the_same_again
from kb.prep.recovery import refuse_another_attempt
from kb.records.store.bay import case, writing
from kb.records.store.bay.writing import Done
from kb.records.store.outcomes import outcomes as store
from kb.records.tables import ProgrammingEvent


@anyone_in_the_shop
def record_event(desk: Desk, draft: ProgrammingEventDraft, *, done_twice: bool = False) -> int:
    """Record a programming event; each installed module gets an outcome for each concern it was done for.

    | refused                                                         | as       |
    |-----------------------------------------------------------------|----------|
    | a module stands in it twice                                     | BadInput |
    | another attempt before a recovery is recorded                   | BadInput |
    | the ID after is not the bulletin's and nobody confirmed it      | BadInput |
    | the same is on record for that day, and it was not `done_twice` | Conflict |
    """
    files, updates = concerns_of(desk, draft), updates_desk.on_file(desk)
    vehicle = next(iter(files.values()))
    _check(desk, draft, files)
    refuse_a_module_twice(draft)
    refuse_another_attempt(draft, files)
    ask_about_ids(draft, vehicle, updates)
    if not done_twice:
        refuse_the_same_again(draft, files, updates)
    draft = replace(draft, modules=tuple(_tidied(one) for one in draft.modules))
    [event_id] = writing.add_events(desk.session, desk.stamp(), [(vehicle.vehicle_id, draft)])
    if versions := versions_in_use(desk, draft):
        writing.put(desk.session, ProgrammingEvent, {event_id: versions})
    writing.add_other_work(desk.session, [(event_id, what, None) for what in draft.other_work])
    done = [(event_id, position, module) for position, module in enumerate(draft.modules, start=1)]
    for reflash_id, module in zip(writing.add_reflashes(desk.session, done), draft.modules, strict=True):
        count_for(desk, event_id, draft, reflash_id, module, [files[one] for one in module.concern_ids])
    renew_vehicles(desk, [vehicle.vehicle_id])
    desk.bump("outcomes")
    for one in files:
        case.clear_tick(desk.session, one, PROGRAMMING_STARTED)
    shared_devices.programming_is_over(desk)
    desk.note_down("programmed", "programming event", event_id, modules=[m.module for m in draft.modules])
    return event_id


@anyone_in_the_shop
def record_road_test(
    desk: Desk,
    concern_id: int,
    road_test: RoadTest,
    duplicated_before: Duplicated | None = None,
    *,
    was: RoadTest | None = None,
) -> None:
    """What the road test said after the last programming event for a concern, of every module in it.

    `was`: what whoever says it saw on file. Raises Conflict where that is something else by now, and not
    what is said.
    """
    done = [one for one in store.outcomes_of_concern(desk.session, concern_id) if one[0].installed]
    if not done:
        raise NotFound("No reflash is recorded for this concern. Record the programming event first.")
    on_file = RoadTest(done[-1][0].road_test)
    if was is not None and on_file not in (was, road_test):
        raise Conflict(
            "Somebody wrote down another road test meanwhile. Look at it, and save again if yours is right.",
            details={"theirs": on_file.value},
        )
    last_event = done[-1][2].id
    for outcome in (outcome for outcome, _, event in done if event.id == last_event):
        outcome.road_test = road_test.value
        if duplicated_before is not None:
            outcome.duplicated_before = duplicated_before.value
    renew_outcomes(desk, [concern_id])
    desk.bump("outcomes")
    desk.note_down("road-tested", "concern", concern_id, result=road_test.value)


def count_for(
    desk: Desk,
    event_id: int,
    draft: ProgrammingEventDraft,
    reflash_id: int,
    module: ModuleResult,
    files: Iterable[ConcernFile],
) -> None:
    """A module that was done in a sitting counts for these concerns; its story is to be told afterwards."""
    for one in files:
        done = Done(reflash_id, one.id, module, draft, one.odometer)
        writing.add_outcomes(desk.session, desk.stamp(), [done])
        keep_what_was_learned(desk, event_id, draft, module, one)


def _tidied(module: ModuleResult) -> ModuleResult:
    return replace(
        module,
        module=module.module.strip().upper(),
        calibration_before=module.calibration_before.strip(),
        calibration_after=module.calibration_after.strip(),
        cvn_before=module.cvn_before.strip(),
        cvn_after=module.cvn_after.strip(),
    )


def concerns_of(desk: Desk, draft: ProgrammingEventDraft) -> dict[int, ConcernFile]:
    """The concerns that a sitting was for. Raises BadInput for none, and for those of several vehicles."""
    ids = dict.fromkeys(one for module in draft.modules for one in module.concern_ids)
    files = {one: read_concern(desk, one) for one in ids}
    if not files:
        raise BadInput("Say for which concern this was done.", fields={"modules": "no concern is named"})
    if len({one.vehicle_id for one in files.values()}) > 1:
        raise BadInput(
            "One programming event is of one vehicle. Record an event for each.",
            fields={"modules": "concerns of several vehicles"},
        )
    return files


def _check(desk: Desk, draft: ProgrammingEventDraft, files: Mapping[int, ConcernFile]) -> None:
    wrong: dict[str, str] = {}
    if draft.performed_on > desk.today:
        wrong["performed_on"] = (
            f"{day_words(draft.performed_on)} lies in the future. Enter the day it was done."
        )
    opened = max(one.opened_on for one in files.values())
    if draft.performed_on < opened:
        wrong["performed_on"] = (
            f"{day_words(draft.performed_on)} is before the concern was opened ({day_words(opened)})."
        )
    if draft.minutes is not None and not 0 <= draft.minutes <= 7 * 24 * 60:
        wrong["minutes"] = "Minutes are 0 to 10,080 (a week)."
    wrong |= _not_on_file(desk, {"device_id": draft.device_id, "computer_id": draft.computer_id})
    if draft.support_unit_id is not None and draft.support_unit_id not in support_units(desk):
        wrong["support_unit_id"] = "That is no battery support unit. A charger never supports programming."
    if draft.subscription_id is not None and not is_entered(desk, draft.subscription_id):
        wrong["subscription_id"] = "That subscription was removed meanwhile. Choose another, or none."
    known = updates_desk.on_file(desk).by_id
    for module in draft.modules:
        if not module.module.strip():
            wrong["module"] = "Name each module, such as PCM."
        if module.update_id is not None and module.update_id not in known:
            wrong["update_id"] = f"Note {module.update_id} is no published update."
    if wrong:
        raise BadInput(" ".join(wrong.values()), fields=wrong)


def _not_on_file(desk: Desk, named: Mapping[str, int | None]) -> dict[str, str]:
    """What is said of equipment, by the field that names it, that this shop does not have."""
    asked = {name: one for name, one in named.items() if one is not None}
    known = {one.id for one in list_equipment(desk, retired_too=True)} if asked else set()
    said = "That piece of equipment is not on file. Choose another, or none."
    return {name: said for name, one in asked.items() if one not in known}
