"""A reading of a repair order put right: what hangs on it is held against it, and told where it changes."""

from __future__ import annotations

from sqlmodel import col

from kb.desk.bay.concern.impossible_answers import Reading, unfitting
from kb.desk.bay.outcomes.observed import gather_chosen, renew_outcomes
from kb.desk.context import Desk
from kb.errors import BadInput
from kb.nouns.outcomes import FAILURES
from kb.records.store.bay import concerns as concern_store
from kb.records.store.outcomes import outcome_counts as count_store
from kb.records.store.outcomes import outcomes as store
from kb.records.tables import Outcome, RepairOrder

_NO_LONGER = (
    "By this reading a comeback lies after the miles that a cure must hold, so it counts as none any more; "
    "check the reading if that is wrong."
)
_FROM_NOW = "By this reading a comeback lies within the miles that a cure must hold, so it counts now."


def correct_odometer(desk: Desk, order: RepairOrder, odometer: int | None) -> tuple[str, ...]:
    """Take a reading entered, corrected or taken out later, for the order and its reflashes.

    Gives what somebody should look at. Raises BadInput where a reading of a follow-up cannot come after it.
    """
    if odometer == order.odometer:
        return ()
    rows = concern_store.concerns_of_repair_order(desk.session, order.id or 0)
    concerns = [row.id or 0 for row in rows]
    if odometer is not None:
        _refuse_unfitting(desk, concerns, order.odometer, odometer)
    failed = _failed(desk, concerns)
    before, order.odometer = order.odometer, odometer
    if not count_store.correct_odometers(desk.session, order.id or 0, before, odometer):
        return ()
    renew_outcomes(desk, concerns)
    desk.bump("outcomes")
    now = _failed(desk, concerns)
    return tuple(said for said, changed in ((_NO_LONGER, failed - now), (_FROM_NOW, now - failed)) if changed)


def _refuse_unfitting(desk: Desk, concerns: list[int], before: int | None, odometer: int) -> None:
    for concern_id in concerns:
        heard = [
            Reading(one.seen_on, one.odometer)
            for one in store.follow_ups(desk.session, concern_id)
            if one.odometer is not None
        ]
        for outcome, *_ in store.outcomes_of_concern(desk.session, concern_id):
            if outcome.odometer != before:
                continue
            later = [one for one in heard if one.on >= outcome.reflashed_on]
            sentence = unfitting(Reading(outcome.reflashed_on, odometer, heard=False), later)
            if sentence:
                raise BadInput(sentence, fields={"odometer": sentence})


def _failed(desk: Desk, concerns: list[int]) -> set[int]:
    """Outcomes that count as failures."""
    found = gather_chosen(desk, desk.today, col(Outcome.concern_id).in_(concerns))
    return {one.reflash.outcome_id for some in found.values() for one in some if one.standing in FAILURES}
