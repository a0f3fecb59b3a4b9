"""Where a concern stands after what was installed for it, and what is done next."""

from __future__ import annotations

from datetime import date

from kb.nouns.bay.after_reflash import AfterReflash, NextStep
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.concerns import FAILED, FollowUpResult, RoadTest
from kb.outcomes.story import stories_on


def after_reflash(file: ConcernFile) -> AfterReflash | None:
    """None while nothing is installed for the concern."""
    if not file.installed:
        return None
    last = file.installed[-1]
    done = tuple(one for one in file.installed if one.event_id == last.event_id)
    outcomes = {one.outcome_id for one in done}
    told = stories_on(file).get(file.id, ())
    counted = any(one.failed_on for one in told if one.reflash.outcome_id in outcomes)
    failures = [
        one for one in file.follow_ups if one.said.result in FAILED and one.said.seen_on >= last.performed_on
    ]
    fine = [one.said.seen_on for one in file.follow_ups if one.said.result is FollowUpResult.FINE]
    return AfterReflash(
        done,
        failed=failures[-1] if failures and counted else None,
        has_failed=counted or any(one.road_test == RoadTest.STILL_THERE for one in done),
        recovery_open=bool(file.not_completed),
        fine_until=max(fine, default=date.min),
    )


def next_step(file: ConcernFile, after: AfterReflash | None) -> NextStep:
    """What is done next on a concern that stands so after what was installed for it."""
    if file.state == "closed":
        return "closed"
    return after.next if after else "advice"
