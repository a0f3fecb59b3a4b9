"""What a reflash counts as, by hand, and that the words never say more than the counts do."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.nouns.concerns import FollowUpDraft, FollowUpResult, RoadTest
from kb.nouns.outcomes import Standing
from kb.outcomes.counts_as import closed_as_cured, counts_as
from kb.outcomes.story import Story
from tests.kb.outcomes.made import RULE, after, came_back, fine, passed, stories

SOLD, AIR, OTHER = FollowUpResult.SOLD, FollowUpResult.UPDATED_BY_AIR, FollowUpResult.OTHER_CAUSE


def word(day: int, *heard: FollowUpDraft, **facts: object) -> str:
    """By a window of 90 days, on that day after the reflash."""
    done = replace(passed().reflash, **facts)  # type: ignore[arg-type]
    return counts_as(Story(done, heard).seen_by(RULE, after(day)), RULE, after(day))


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        (word(0), "waiting, day 0 of 90"),
        (word(40, fine(10)), "waiting, day 40 of 90"),
        (word(89), "waiting, day 89 of 90"),
        (word(90), "not heard of"),
        (word(400, fine(60)), "not heard of"),
        (word(95, fine(90)), "cured"),
        (word(40, road_test=RoadTest.CANNOT_SAY), "waiting, day 40 of 90"),
        (word(90, road_test=RoadTest.CANNOT_SAY), "not heard of"),
        (word(120, usual_gap_days=50), "waiting, day 120 of 150"),
        (word(50, came_back(20)), "came back, day 20"),
        (word(50, replace(came_back(20), day_known=False)), "came back, nobody knows since when"),
        (word(50, FollowUpDraft(OTHER, after(7))), "another cause found, day 7"),
        (word(120, fine(91), FollowUpDraft(OTHER, after(110))), "another cause found"),
        (word(5, road_test=RoadTest.STILL_THERE), "not cured at road test"),
        (word(95, fine(90), other_work=True), "cannot say: other work in the same visit"),
        (word(50, came_back(20), other_work=True), "came back, day 20"),
        (word(50, FollowUpDraft(AIR, after(30))), "cannot say: updated again"),
        (word(50, FollowUpDraft(SOLD, after(30))), "cannot say: sold"),
    ],
)
def test_each_reads_as_it_counts(said: str, expected: str) -> None:
    assert said == expected


@given(stories, st.dates(date(2026, 6, 1), date(2027, 12, 31)))
def test_cured_is_said_of_cures_that_count_and_of_no_others(story: Story, as_of: date) -> None:
    if story.reflash.reflashed_on > as_of:
        return
    seen = story.seen_by(RULE, as_of)
    followed = seen.standing is Standing.FOLLOWED_TO_WINDOW
    cured = followed and not seen.explained and not seen.other_work
    assert (counts_as(seen, RULE, as_of) == "cured") == cured
    failed = seen.standing in (Standing.FAILED_AT_ROAD_TEST, Standing.COMEBACK, Standing.OTHER_CAUSE)
    assert not failed or counts_as(seen, RULE, as_of).startswith(("not cured", "came back", "another cause"))


def test_a_concern_closed_as_cured_reads_as_the_last_reflash_with_the_update_named() -> None:
    first = passed(came_back(10)).seen_by(RULE, after(60))
    second = Story(replace(passed().reflash, update_id=2, reflashed_on=after(20))).seen_by(RULE, after(60))
    told = [closed_as_cured([first, second], by, RULE, after(60)) for by in (1, 2, None, 9)]
    waits = "reflashed, waiting, day 40 of 90"
    assert told == ["reflashed, came back, day 10", waits, waits, waits]
    cured = passed(fine(90)).seen_by(RULE, after(95))
    assert closed_as_cured([cured], 1, RULE, after(95)) == "cured by the reflash"
    assert closed_as_cured([], 1, RULE, after(95)) == "reflashed, cannot say: no reflash is on record"
