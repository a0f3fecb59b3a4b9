"""A module that stopped with an error: until its recovery is recorded, another attempt is a stop."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from kb.desk.context import Desk
from kb.errors import BadInput
from kb.nouns.advice_inputs import StopInHand, StopKind
from kb.nouns.concerns import ProgrammingEventDraft, ReflashResult
from kb.nouns.days import day_words
from kb.prep.recovery import Attempt, not_recovered, other_attempts
from kb.records.store.bay import case as case_store
from kb.records.store.bay import sittings as store
from kb.records.store.bay.concerns import ConcernOnFile
from kb.records.tables import StopLift

_ENDED = {ReflashResult.STOPPED: "stopped with an error", ReflashResult.MODULE_LOST: "was lost"}


def waiting_for_recovery(desk: Desk, held: ConcernOnFile) -> tuple[Attempt, ...]:
    """Modules of the vehicle that stopped or were lost since the concern was opened, not recovered yet."""
    done = store.reflashes_since(desk.session, held.repair_order.vehicle_id, held.concern.opened_on)
    return not_recovered(
        Attempt(one.module, ReflashResult(one.result), event.performed_on, event.recorded_at)
        for one, event in done
    )


def recovery_stop(desk: Desk, held: ConcernOnFile, lifts: Sequence[StopLift]) -> tuple[StopInHand, ...]:
    """The stop, lifted or not; none where every module is completed or recovered.

    A lift counts for what was recorded by then: a module that stops later is a new stop.
    """
    waiting = waiting_for_recovery(desk, held)
    if not waiting:
        return ()
    since = max(one.recorded_at for one in waiting)
    mine = [one for one in lifts if one.stop == StopKind.NOT_RECOVERED.value and one.at >= since]
    by, because = (mine[-1].by, mine[-1].reason) if mine else ("", "")
    told = (f"{one.module} {_ENDED[one.result]} on {day_words(one.performed_on)}." for one in waiting)
    return (StopInHand(StopKind.NOT_RECOVERED, " ".join(told), by, because),)


def refuse_another_attempt(
    desk: Desk, draft: ProgrammingEventDraft, held: Mapping[int, ConcernOnFile]
) -> None:
    """Raise BadInput for another attempt while a module is not recovered and no lead lifted the stop."""
    for concern_id, one in held.items():
        for stop in recovery_stop(desk, one, case_store.stop_lifts(desk.session, concern_id)):
            if stop.is_open:
                _refuse_others(draft, waiting_for_recovery(desk, one), stop.detail)


def _refuse_others(draft: ProgrammingEventDraft, waiting: Sequence[Attempt], detail: str) -> None:
    by_then = [one for one in waiting if one.performed_on <= draft.performed_on]
    others = other_attempts(by_then, [(one.module, one.result) for one in draft.modules])
    if others:
        raise BadInput(
            f"{detail} Record its recovery first: a retry that the manufacturer's screen offered in the same "
            "session is “recovered”. A new session, another tool or another module waits for the lead.",
            fields={f"modules.{at}.result": "waits for the recovery" for at in others},
        )
