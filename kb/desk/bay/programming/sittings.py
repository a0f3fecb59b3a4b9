"""A sitting on record that served a further concern of the same vehicle: one event, counted for both."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.advice.update_names import names_of
from kb.desk.bay.outcomes.observed import renew_vehicles
from kb.desk.bay.programming.programming import concerns_of, count_for
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import BadInput, Conflict, NotFound
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.concerns import ModuleResult, ProgrammingEventDraft, ReflashResult
from kb.nouns.days import day_words
from kb.nouns.vehicles import fold_id
from kb.prep.programmed_twice import refuse_a_module_twice
from kb.records.store.bay import sittings, writing
from kb.records.store.outcomes import outcomes as store
from kb.records.tables import ProgrammingEvent, Reflash


@anyone_in_the_shop
def join_sitting(desk: Desk, event_id: int, draft: ProgrammingEventDraft) -> int:
    """Count a sitting on record for further concerns of its vehicle, and return its id.

    | of the draft                                   | becomes of the sitting                            |
    |------------------------------------------------|---------------------------------------------------|
    | modules, their concerns, seen before and after | an outcome for each concern not counted yet       |
    | other work                                     | added; it counts for every concern of the sitting |
    | who was called, remark                         | added                                             |
    | all else, such as fee and minutes              | passed over: they were entered once               |

    Raises NotFound where this vehicle has no such sitting, BadInput where it was before a concern was opened
    or had no such module with that update, Conflict where it counts for these concerns already.
    """
    files = concerns_of(desk, draft)
    event = _event_of(desk, event_id, files)
    refuse_a_module_twice(draft)
    done = store.reflashes(desk.session, event_id)
    _refuse_what_was_not_done(desk, draft, done)
    work = _other_work(desk, event_id, draft.other_work)
    event.who_was_called = _added(event.who_was_called, draft.who_was_called)
    event.remark = _added(event.remark, draft.remark)
    as_done = replace(draft, performed_on=event.performed_on, other_work=work)
    asked = {fold_id(module.module): module for module in draft.modules}
    joined = [
        concern_id
        for row in done
        if fold_id(row.module) in asked
        for concern_id in _join(desk, as_done, row, asked[fold_id(row.module)], files)
    ]
    if not joined:
        raise Conflict("That sitting counts for this concern already. Nothing more is to be recorded.")
    renew_vehicles(desk, [event.vehicle_id])
    desk.bump("outcomes")
    desk.note_down("counted for", "programming event", event_id, concerns=joined)
    return event_id


def _event_of(desk: Desk, event_id: int, files: Mapping[int, ConcernFile]) -> ProgrammingEvent:
    """The sitting, if it was of the vehicle of these concerns and after each was opened."""
    event = store.event(desk.session, desk.shop.id, event_id)
    if event is None or event.vehicle_id != next(iter(files.values())).vehicle_id:
        raise NotFound(f"No programming event {event_id} is on record for this vehicle.")
    opened = max(one.opened_on for one in files.values())
    if opened > event.performed_on:
        raise BadInput(
            f"That sitting was on {day_words(event.performed_on)}, before the concern was opened "
            f"({day_words(opened)}).",
            fields={"same_sitting_as": "before the concern was opened"},
        )
    return event


def _refuse_what_was_not_done(desk: Desk, draft: ProgrammingEventDraft, done: Sequence[Reflash]) -> None:
    """Raise BadInput naming the modules that the sitting does not have, or has with another update."""
    kept = updates_desk.on_file(desk).kept
    in_it = {(fold_id(row.module), kept(row.update_id or 0)) for row in done}
    wrong = {
        at: one
        for at, one in enumerate(draft.modules)
        if (fold_id(one.module), kept(one.update_id or 0)) not in in_it
    }
    if not wrong:
        return
    names = names_of(desk, [one.update_id for one in wrong.values()])
    told = [_with_update(one.module, names.get(one.update_id or 0, ("", ""))[0]) for one in wrong.values()]
    had = [row.module for row in done]
    raise BadInput(
        f"That sitting has no {' and no '.join(told)} on record; it has {', '.join(had)}. "
        "Record what else was programmed as a programming of its own.",
        fields={f"modules.{at}.module": "not of that sitting" for at in wrong},
    )


def _with_update(module: str, number: str) -> str:
    return f"{module.strip().upper()}{f' with {number}' if number else ''}"


def _added(kept: str, typed: str) -> str:
    """What was written down with what is said now, once."""
    said = typed.strip()
    return kept if not said or said in kept else "; ".join(filter(None, (kept, said)))


def _other_work(desk: Desk, event_id: int, typed: Sequence[str]) -> tuple[str, ...]:
    known = store.other_work(desk.session, event_id)
    new = [what for what in typed if what not in known]
    if new:
        writing.add_other_work(desk.session, [(event_id, what, None) for what in new])
        for outcome in sittings.outcomes_of_event(desk.session, event_id):
            outcome.other_work = True
    return (*known, *new)


def _join(
    desk: Desk,
    draft: ProgrammingEventDraft,
    row: Reflash,
    module: ModuleResult,
    files: Mapping[int, ConcernFile],
) -> list[int]:
    known = sittings.concerns_of_reflash(desk.session, row.id or 0)
    as_done = replace(
        module,
        result=ReflashResult(row.result),
        update_id=row.update_id,
        calibration_after=row.calibration_after or module.calibration_after,
        cvn_after=row.cvn_after or module.cvn_after,
    )
    joined = [one for one in module.concern_ids if one not in known]
    count_for(desk, row.event_id, draft, row.id or 0, as_done, [files[one] for one in joined])
    return joined
