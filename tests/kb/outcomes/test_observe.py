"""What the facts of one reflash say. Source of every rule: the project's design, section 6."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.errors import BadInput
from kb.nouns.concerns import Duplicated, FollowUpDraft, FollowUpResult, HowHeard, RoadTest
from kb.nouns.outcomes import Reflashed, Standing, WindowRule
from kb.outcomes.story import Story
from tests.kb.outcomes.made import (
    REFLASHED,
    RULE,
    TODAY,
    after,
    came_back,
    fine,
    heard,
    passed,
    seen,
    stories,
)

BY_AIR = FollowUpResult.UPDATED_BY_AIR


def test_not_cured_at_road_test_fails_on_day_0_whatever_is_heard_later() -> None:
    story = Story(Reflashed(1, REFLASHED, RoadTest.STILL_THERE), (fine(95),))
    assert seen(story) == (Standing.FAILED_AT_ROAD_TEST, 0)


@pytest.mark.parametrize(
    ("day", "expected"),
    [
        (1, (Standing.COMEBACK, 1)),
        (90, (Standing.COMEBACK, 90)),
        (91, (Standing.FOLLOWED_TO_WINDOW, 90)),
    ],
)
def test_a_comeback_counts_up_to_and_including_the_windows_last_day(
    day: int, expected: tuple[Standing, int]
) -> None:
    assert seen(passed(came_back(day))) == expected


def test_silence_after_a_pass_is_no_cure() -> None:
    assert seen(passed()) == (Standing.OVERDUE, 0)
    assert seen(passed(fine(30))) == (Standing.OVERDUE, 30)
    assert seen(passed(fine(30)), as_of=after(89)) == (Standing.IN_WINDOW, 30)
    assert seen(passed(fine(90))) == (Standing.FOLLOWED_TO_WINDOW, 90)


def test_the_day_of_the_report_hides_what_became_known_later() -> None:
    assert seen(passed(fine(20), came_back(60)), as_of=after(50)) == (Standing.IN_WINDOW, 20)


@pytest.mark.parametrize(
    ("miles", "result", "expected"),
    [
        (2999, FollowUpResult.FINE, (Standing.OVERDUE, 40)),
        (3000, FollowUpResult.FINE, (Standing.FOLLOWED_TO_WINDOW, 90)),
        (3000, FollowUpResult.CAME_BACK, (Standing.COMEBACK, 40)),
        (3001, FollowUpResult.CAME_BACK, (Standing.FOLLOWED_TO_WINDOW, 90)),
    ],
)
def test_miles_end_the_window_where_a_follow_up_recorded_an_odometer(
    miles: int, result: FollowUpResult, expected: tuple[Standing, int]
) -> None:
    assert seen(passed(heard(result, 40, 50_000 + miles), odometer=50_000)) == expected
    assert seen(passed(heard(result, 40), odometer=50_000))[1] == 40


def test_an_intermittent_is_watched_for_three_of_its_usual_gaps_on_the_scale_of_the_window() -> None:
    outcome = passed(fine(100), usual_gap_days=60)
    assert seen(outcome) == (Standing.OVERDUE, 50)
    assert seen(outcome, as_of=after(170)) == (Standing.IN_WINDOW, 50)
    assert seen(passed(came_back(179), usual_gap_days=60)) == (Standing.COMEBACK, 90)
    assert seen(passed(fine(179), usual_gap_days=60)) == (Standing.OVERDUE, 89)
    assert seen(passed(fine(180), usual_gap_days=60)) == (Standing.FOLLOWED_TO_WINDOW, 90)
    assert seen(passed(fine(90), usual_gap_days=10)) == (Standing.FOLLOWED_TO_WINDOW, 90)


@pytest.mark.parametrize(
    "unsure",
    [
        Reflashed(1, REFLASHED, RoadTest.CANNOT_SAY),
        Reflashed(1, REFLASHED, RoadTest.GONE, Duplicated.NO),
        Reflashed(1, REFLASHED, RoadTest.GONE, Duplicated.NOT_TRIED),
    ],
)
def test_a_road_test_that_proves_nothing_waits_for_a_later_sighting(unsure: Reflashed) -> None:
    assert seen(Story(unsure)) == (Standing.NOT_KNOWN, 0)
    assert seen(Story(unsure, (fine(40),))) == (Standing.OVERDUE, 40)
    assert seen(Story(unsure, (fine(95),))) == (Standing.FOLLOWED_TO_WINDOW, 90)
    assert seen(Story(unsure, (came_back(40),))) == (Standing.COMEBACK, 40)


def test_an_air_update_or_a_superseding_reflash_ends_the_count_that_day() -> None:
    by_air = heard(FollowUpResult.UPDATED_BY_AIR, 25)
    assert seen(passed(by_air, came_back(40), fine(95))) == (Standing.ENDED, 25)
    assert seen(passed(came_back(20), by_air)) == (Standing.COMEBACK, 20)
    assert seen(passed(fine(95), superseded_on=after(60))) == (Standing.ENDED, 60)
    assert seen(passed(fine(91), superseded_on=after(120))) == (Standing.FOLLOWED_TO_WINDOW, 90)
    assert seen(passed(superseded_on=after(60)), as_of=after(50)) == (Standing.IN_WINDOW, 0)


@pytest.mark.parametrize("day", [90, 120])
def test_an_end_after_the_window_makes_no_cure_of_a_vehicle_that_nobody_had_seen(day: int) -> None:
    # Silence is no cure (design, section 6); the day of the update tells nothing of the days before it.
    for ended in (passed(fine(30), superseded_on=after(day)), passed(fine(30), heard(BY_AIR, day))):
        assert seen(ended) == (Standing.ENDED, 30)


def test_a_sold_vehicle_is_waited_for_no_longer_but_later_news_counts() -> None:
    sold = heard(FollowUpResult.SOLD, 50)
    assert seen(passed(fine(30), sold)) == (Standing.ENDED, 30)
    assert seen(passed(fine(30), sold, came_back(70))) == (Standing.COMEBACK, 70)


@pytest.mark.parametrize("result", [FollowUpResult.NO_ANSWER, FollowUpResult.NEW_COMPLAINT])
@pytest.mark.parametrize("day", [35, 95])
def test_no_answer_and_a_new_complaint_say_nothing_of_the_first_one(result: FollowUpResult, day: int) -> None:
    assert seen(passed(heard(result, day))) == (Standing.OVERDUE, 0)
    assert seen(passed(fine(30), heard(result, day), came_back(100))) == (Standing.FOLLOWED_TO_WINDOW, 90)


@pytest.mark.parametrize(
    ("result", "standing"),
    [
        (FollowUpResult.CAME_BACK, Standing.COMEBACK),
        (FollowUpResult.OTHER_CAUSE, Standing.OTHER_CAUSE),
    ],
)
def test_a_failure_since_nobody_knows_when_counts_from_the_last_day_it_was_known_to_be_ok(
    result: FollowUpResult, standing: Standing
) -> None:
    # Design, section 6: another cause found after a pass counts on the day last seen, else on day 0.
    told = replace(heard(result, 120), day_known=False)
    assert seen(passed(told)) == (standing, 0)
    assert seen(passed(told, fine(30), fine(125))) == (standing, 30)
    assert seen(passed(told, fine(90))) == (Standing.FOLLOWED_TO_WINDOW, 90)
    assert seen(passed(told, fine(30)), as_of=after(119)) == (Standing.OVERDUE, 30)
    assert seen(passed(heard(result, 120), fine(30))) == (Standing.FOLLOWED_TO_WINDOW, 90)


def test_other_work_in_the_same_visit_is_kept_apart() -> None:
    assert passed(fine(95), other_work=True).seen_by(RULE, TODAY).other_work


def test_what_cannot_be_is_passed_over_in_a_report() -> None:
    for wrong in (passed(came_back(-5)), passed(fine(10, 40_000), odometer=50_000), passed(odometer=-1)):
        assert seen(wrong)[0] in {Standing.OVERDUE, Standing.IN_WINDOW}


def test_a_reflash_after_the_day_of_the_report_is_refused() -> None:
    with pytest.raises(BadInput):
        passed().seen_by(RULE, after(-1))
    with pytest.raises(BadInput):
        passed().seen_by(WindowRule(days=0), TODAY)


@given(stories, st.dates(date(2026, 12, 31), date(2027, 12, 31)), st.integers(1, 200))
def test_every_fact_gives_a_day_inside_the_window(story: Story, as_of: date, days: int) -> None:
    found = story.seen_by(WindowRule(days=days), as_of)
    assert 0 <= found.day <= days
    assert found.day <= found.silent_day <= days
    assert (found.standing == Standing.FOLLOWED_TO_WINDOW) <= (found.day == days)


of_few_days = st.builds(
    FollowUpDraft,
    result=st.sampled_from([FollowUpResult.CAME_BACK, FollowUpResult.OTHER_CAUSE, FollowUpResult.FINE]),
    seen_on=st.sampled_from([after(30), after(90)]),
    odometer=st.sampled_from([None, 52_000, 53_500]),
    day_known=st.booleans(),
    heard=st.sampled_from(HowHeard),
)
busy_days = st.lists(of_few_days, min_size=2, max_size=4).map(lambda some: passed(*some, odometer=50_000))


@given(stories | busy_days, st.randoms(use_true_random=False))
def test_the_order_in_which_follow_ups_were_typed_does_not_matter(story: Story, random) -> None:  # type: ignore[no-untyped-def]
    shuffled: list[FollowUpDraft] = list(story.heard)
    random.shuffle(shuffled)
    later = date(2027, 12, 31)
    as_typed_otherwise = replace(story, heard=tuple(shuffled))
    assert as_typed_otherwise.seen_by(RULE, later) == story.seen_by(RULE, later)
    assert as_typed_otherwise.columns() == story.columns()


def test_a_comeback_whose_other_cause_was_found_that_day_is_a_comeback_explained() -> None:
    comeback, cause = came_back(30), heard(FollowUpResult.OTHER_CAUSE, 30)
    for said in ((comeback, cause), (cause, comeback)):
        found = passed(*said).seen_by(RULE, TODAY)
        assert (found.standing, found.day, found.explained) == (Standing.COMEBACK, 30, True)
