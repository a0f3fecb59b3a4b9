"""What a follow-up form says. Of a bad answer it must say since when, or that nobody knows."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from kb.errors import BadInput
from kb.nouns.concerns import FAILED, FollowUpDraft, FollowUpResult, HowHeard
from kb.nouns.days import day_words
from web.forms import MILES, TypedForm


def draft(
    typed: TypedForm,
    currency: str,
    heard_on: date,
    before: FollowUpDraft | None = None,
    *,
    unknown: bool = False,
) -> FollowUpDraft:
    """The follow-up as typed; `before` is what it said until now, if it is put right.

    A good answer without a day is of `heard_on`; a bad one is refused without its day, unless nobody knows
    it: by the tick, or `unknown`.
    """
    said = FollowUpDraft(
        result=typed.must_be_one_of("result", FollowUpResult, "Say how the vehicle does."),
        seen_on=typed.day("seen_on", "day") or heard_on,
        odometer=typed.whole("odometer", "odometer", MILES),
        how=typed.text("how"),
        remark=typed.text("remark"),
        cost_minor=typed.minor("cost", currency, "cost"),
        heard=_who_spoke_first(typed, before),
    )
    if said.result not in FAILED:
        return said
    if _nobody_knows(typed, said, before) or (unknown and not typed.text("seen_on")):
        return replace(said, seen_on=heard_on, day_known=False)
    if not typed.text("seen_on"):
        raise _since_when("Since when? Enter the day, an estimate will do, or tick that nobody knows.")
    return said


def _who_spoke_first(typed: TypedForm, before: FollowUpDraft | None) -> HowHeard:
    said = typed.text("heard")
    if said in set(HowHeard):
        return HowHeard(said)
    return before.heard if before else HowHeard.NOT_SAID


def _nobody_knows(typed: TypedForm, said: FollowUpDraft, before: FollowUpDraft | None) -> bool:
    """Of a day and the tick together what is new wins: the tick where the answer had its day, the day where
    it had none. On a new answer somebody must say which. A day that was a good answer's is none of a bad one.
    """
    ticked, dated = typed.ticked("nobody_knows"), bool(typed.text("seen_on"))
    as_before = before is not None and said.seen_on == before.seen_on
    if ticked and dated and not (before is not None and (as_before or not before.day_known)):
        raise _since_when("Either a day, or nobody knows since when: take one of them out.")
    if ticked:
        return not dated or (before is not None and before.day_known)
    of_a_good_one = as_before and before is not None and before.result not in FAILED
    if dated and of_a_good_one and not typed.ticked("that_very_day"):
        raise _since_when(
            f"Since when? {day_words(said.seen_on)} is the day of the answer before. If it came back on that "
            "very day, save again; else enter another day, or tick that nobody knows.",
            ask="that_very_day",
        )
    return False


def _since_when(sentence: str, **ask: str) -> BadInput:
    return BadInput(sentence, fields={"seen_on": sentence}, details=ask)
