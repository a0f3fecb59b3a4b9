"""What somebody answers for before programming is written down: open stops, and why it was done at all."""

from __future__ import annotations

from collections.abc import Mapping

from kb.desk.bay.advice import advice
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.programming.prep import prep_list
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import BadInput
from kb.nouns.advice import StopSaid, Verdict
from kb.nouns.concerns import ProgrammingEventDraft, ReflashResult
from kb.prep.before_recording import passed_by as told_before

NOT_ASKED = "not asked: programming failed first"
"""Why, where a failure is written down and nothing else was before."""


@anyone_in_the_shop
def to_override(desk: Desk, concern_id: int) -> tuple[StopSaid, ...]:
    """The stops that recording needs a name and reason for."""
    return advice.give_advice(desk, concern_id).to_override


@anyone_in_the_shop
def asks_why(desk: Desk, concern_id: int) -> bool:
    """Whether programming is against the advice, and nobody said why yet."""
    against = advice.give_advice(desk, concern_id).verdict is not Verdict.REFLASH
    return against and not read_concern(desk, concern_id).decisions


@anyone_in_the_shop
def passed_by(desk: Desk, concern_id: int) -> str:
    """Prep, recalls and the latest start that were passed by, in one line; empty once something is on record:
    then it was told before.
    """
    if read_concern(desk, concern_id).reflashes:
        return ""
    prep = prep_list(desk, concern_id)
    ticked, late = sum(bool(one.by) for one in prep.items), prep.when_it_fails.too_late
    return told_before(ticked=ticked, not_checked=prep.not_checked_said, too_late=late)


@anyone_in_the_shop
def answer_for(
    desk: Desk, concern_id: int, event: ProgrammingEventDraft, reasons: Mapping[str, str], why: str
) -> None:
    """Open stops are overridden, with the reason given for each kind; where nobody decided yet, the advice is
    frozen, and `why` says why it was programmed all the same.

    Raises BadInput for a stop without a reason, and where a why is asked and there is none.
    """
    for stop in to_override(desk, concern_id):
        reason = reasons.get(stop.kind, "")
        if not reason:
            raise BadInput(
                f"Stop: {stop.sentence} Override it by name and reason, or settle it first.",
                fields={f"override_{stop.kind}": "a reason"},
            )
        advice.lift_stop(desk, concern_id, stop.kind, reason)
    begun = any(module.result is not ReflashResult.NOTHING_NEWER for module in event.modules)
    if begun and not read_concern(desk, concern_id).decisions:
        advice.decide(desk, concern_id, "reflash", why)
