"""What a reflash counts as today, in the words of every list, page, paper and answer of the interface."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from kb.nouns.outcomes import Observation, Standing, WindowRule
from kb.outcomes.window import own_window

CURED = "cured"
_FAILED = {
    Standing.FAILED_AT_ROAD_TEST: "not cured at road test",
    Standing.COMEBACK: "came back",
    Standing.OTHER_CAUSE: "another cause found",
}


def counts_as(seen: Observation, rule: WindowRule, as_of: date) -> str:
    """Such as "waiting, day 40 of 90", "cured", "not heard of" or "cannot say: ..." with the reason.

    A failure is said before anything else; what was followed to its window and explained by another cause
    since was no cure. The window is the vehicle's own: an intermittent's may be longer.
    """
    if seen.standing in _FAILED:
        return _failed(seen)
    if seen.explained:
        return _FAILED[Standing.OTHER_CAUSE]
    if seen.other_work:
        return "cannot say: other work in the same visit"
    if seen.standing is Standing.ENDED:
        return f"cannot say: {seen.reason}"
    if seen.standing is Standing.FOLLOWED_TO_WINDOW:
        return CURED
    age, days = (as_of - seen.reflashed_on).days, own_window(rule, seen.reflash.usual_gap_days).days
    return f"waiting, day {age} of {days}" if age < days else "not heard of"


def _failed(seen: Observation) -> str:
    word = _FAILED[seen.standing]
    if not seen.day_known:
        return f"{word}, nobody knows since when"
    return f"{word}, day {seen.days_after}" if seen.days_after else word


def closed_as_cured(seen: Sequence[Observation], cured_by: int | None, rule: WindowRule, as_of: date) -> str:
    """How a concern reads that was closed as cured by its reflash: `seen` are its reflashes, oldest first.

    The last of those with the update named speaks, else the last of all.
    """
    named = [one for one in seen if one.update_id == cured_by]
    if not seen:
        return "reflashed, cannot say: no reflash is on record"
    word = counts_as((named or list(seen))[-1], rule, as_of)
    return "cured by the reflash" if word == CURED else f"reflashed, {word}"
