"""Facts of a reflash before they are kept: what cannot be so, and what a history's columns mean."""

from __future__ import annotations

from datetime import date

from kb.errors import BadInput
from kb.nouns.concerns import FollowUpDraft, FollowUpResult
from kb.nouns.outcomes import ReflashOutcome


def refuse_impossible(outcome: ReflashOutcome) -> None:
    """Raises BadInput, naming the field, for facts that cannot be so.

    Refused: anything dated before the reflash, an odometer below 0 or below its reading at the reflash.
    Follow-ups may come in any order.
    """
    if outcome.odometer is not None and outcome.odometer < 0:
        raise BadInput("An odometer cannot be below 0.", fields={"odometer": "below 0"})
    if outcome.superseded_on is not None and outcome.superseded_on < outcome.reflashed_on:
        raise BadInput(
            "A newer calibration cannot replace this one before it was installed.",
            fields={"superseded_on": "before the reflash"},
        )
    for follow_up in outcome.follow_ups:
        _refuse_follow_up(outcome, follow_up)


def history_follow_ups(
    reflashed_on: date, returned_on: date | None, last_seen_on: date | None, other_cause: str
) -> tuple[FollowUpDraft, ...]:
    """The follow-ups that a history row tells of.

    Another cause found after a pass counts on the day the vehicle returned, else the day it was last seen,
    else the day of the reflash. Without one, returning is a comeback and last seen a sighting.
    """
    seen = [FollowUpDraft(FollowUpResult.FINE, last_seen_on)] if last_seen_on else []
    if other_cause.strip():
        found = FollowUpDraft(FollowUpResult.OTHER_CAUSE, returned_on or last_seen_on or reflashed_on)
        return (found,)
    if returned_on is not None:
        seen.append(FollowUpDraft(FollowUpResult.CAME_BACK, returned_on))
    return tuple(seen)


def _refuse_follow_up(outcome: ReflashOutcome, follow_up: FollowUpDraft) -> None:
    if follow_up.seen_on < outcome.reflashed_on:
        raise BadInput(
            f"This follow-up is dated before the reflash of {outcome.reflashed_on:%Y-%m-%d}.",
            fields={"seen_on": "before the reflash"},
        )
    start = outcome.odometer
    if follow_up.odometer is not None and follow_up.odometer < max(start or 0, 0):
        raise BadInput(
            "The odometer is lower than at the reflash; check both readings.",
            fields={"odometer": "below the reading at the reflash"},
        )
