"""What is observed of random facts, against a twin that lives through the days one by one."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace
from datetime import date, timedelta

import pytest

from kb.desk.imports.history_drafts import follow_ups_of
from kb.intake.history.history_row import HistoryRow
from kb.nouns.concerns import Duplicated, FollowUpDraft, FollowUpResult, RoadTest
from kb.nouns.outcomes import Reflashed, Standing, WindowRule
from kb.outcomes.story import Story
from tests.kb.outcomes.made import REFLASHED

FAILURES = {FollowUpResult.CAME_BACK: Standing.COMEBACK, FollowUpResult.OTHER_CAUSE: Standing.OTHER_CAUSE}
SEEN = {FollowUpResult.FINE}
DAYS = (-3, 0, 0, 1, 5, 29, 30, 31, 60, 89, 90, 91, 120, 210)
MILES = (None, None, 10_000, 12_999, 13_000, 13_001, 20_000)
Told = tuple[Standing, int, int | None, int | None]
"""Standing, day and silent day in days of the report, and real days to it; None: the design does not say."""


def slow(story: Story, rule: WindowRule, as_of: date) -> Told:
    """Design, section 6, and the docstring of Reflashed, day by day from the reflash to `as_of`.

    Days of a longer window of an intermittent are told in the report's: a failure's rounded up, others down.
    """
    days = max(rule.days, 3 * (story.reflash.usual_gap_days or 0))
    old = min((as_of - story.reflash.reflashed_on).days, days) * rule.days // days
    if story.reflash.road_test is RoadTest.STILL_THERE:
        return Standing.FAILED_AT_ROAD_TEST, 0, old, 0
    limit = rule.miles * days / rule.days
    sure = story.reflash.road_test is RoadTest.GONE and story.reflash.duplicated_before is Duplicated.YES
    free_to = 0 if sure else None
    sold, age = False, (as_of - story.reflash.reflashed_on).days
    for day in range(age + 1):
        answer, failed_on = answer_of(story, day, days, limit, free_to or 0)
        if answer is Standing.FOLLOWED_TO_WINDOW:
            return answer, rule.days, rule.days, min(day, days)
        if answer is not None:
            told = next(d for d in range(rule.days + 1) if d * days >= failed_on * rule.days)
            return answer, told, max(told, old), failed_on
        results = {each.result for each in heard_on(story, day)}
        free_to = day if day > 0 and results & SEEN else free_to
        sold = sold or FollowUpResult.SOLD in results
        if FollowUpResult.UPDATED_BY_AIR in results or story.reflash.superseded_on == on_day(story, day):
            return ended(free_to, day, days, rule.days)
    if sold and free_to is not None:
        return ended(free_to, free_to, days, rule.days)
    silent = old
    if free_to is None:
        return Standing.NOT_KNOWN, 0, silent, None
    waiting = Standing.IN_WINDOW if age < days else Standing.OVERDUE
    return waiting, free_to * rule.days // days, silent, free_to


def answer_of(story: Story, day: int, days: int, limit: float, free_to: int) -> tuple[Standing | None, int]:
    """What the day's news decides, and of which day it is: a failure before a sighting; else None.

    A failure since nobody knows when fell on the last day that the vehicle was known to be free of it.
    """
    today = heard_on(story, day)
    for each in today:
        if each.result in FAILURES:
            if not each.day_known:
                return FAILURES[each.result], free_to
            inside = day <= days and driven(story, each) <= limit
            return FAILURES[each.result] if inside else Standing.FOLLOWED_TO_WINDOW, day
    for each in today:
        if each.result in SEEN and (day >= days or driven(story, each) >= limit):
            return Standing.FOLLOWED_TO_WINDOW, day
    return None, day


def ended(free_to: int | None, day: int, days: int, report_days: int) -> Told:
    if free_to is None:
        return Standing.NOT_KNOWN, 0, None, None
    last = free_to if day >= days else day
    told = last * report_days // days
    return Standing.ENDED, told, report_days if day >= days else told, last


def on_day(story: Story, day: int) -> date:
    return story.reflash.reflashed_on + timedelta(day)


def heard_on(story: Story, day: int) -> list[FollowUpDraft]:
    return [each for each in story.heard if each.seen_on == on_day(story, day)]


def driven(story: Story, heard: FollowUpDraft) -> int:
    if story.reflash.odometer is None or heard.odometer is None:
        return 0
    return heard.odometer - story.reflash.odometer


def some_facts(rng: random.Random) -> Story:
    """Follow-ups in no order, some before the reflash or after the report; at most one failure a day."""
    heard: list[FollowUpDraft] = []
    for _ in range(rng.choice([0, 0, 1, 1, 2, 3, 4])):
        on = REFLASHED + timedelta(rng.choice([*DAYS, rng.randint(0, 220)]))
        result = rng.choice(list(FollowUpResult))
        known = result not in FAILURES or rng.random() < 0.6
        one = FollowUpDraft(result, on, rng.choice(MILES), day_known=known)
        taken = any(each.seen_on == on and each.result in FAILURES for each in heard)
        if not (taken and one.result in FAILURES):
            heard.append(one)
    done = Reflashed(
        1,
        REFLASHED,
        rng.choice([RoadTest.GONE, RoadTest.GONE, *RoadTest]),
        rng.choice([Duplicated.YES, Duplicated.YES, *Duplicated]),
        odometer=rng.choice([None, 10_000]),
        usual_gap_days=rng.choice([None, None, 0, 5, 10, 11, 31, 60]),
        superseded_on=rng.choice([None, None, None, REFLASHED + timedelta(rng.randint(0, 150))]),
    )
    return Story(done, tuple(heard))


@pytest.mark.parametrize("window", [1, 30, 90])
def test_any_facts_are_observed_as_by_living_through_the_days(window: int) -> None:
    rng, met = random.Random(40 + window), Counter[Standing]()
    for _ in range(1500):
        story, rule = some_facts(rng), WindowRule(window, rng.choice([3000, 10**6]))
        as_of = REFLASHED + timedelta(rng.choice([0, 29, 30, 89, 90, 91, 150, 300]))
        found = story.seen_by(rule, as_of)
        standing, day, silent_day, real = slow(story, rule, as_of)
        assert (found.standing, found.day) == (standing, day), story
        if silent_day is not None:
            assert found.silent_day == silent_day, story
        if real is not None:
            assert found.days_after == real, story
        met[found.standing] += 1
    wanted = set(Standing) - ({Standing.IN_WINDOW} if window == 1 else set())
    assert wanted <= met.keys()


def test_another_cause_is_dated_by_the_return_else_the_last_sighting_else_the_reflash() -> None:
    # Design, section 6, read for every mix of dates.
    rng, rule, later = random.Random(44), WindowRule(), REFLASHED + timedelta(400)
    for _ in range(300):
        returned, last = (rng.choice([None, REFLASHED + timedelta(rng.randint(0, 130))]) for _ in range(2))
        cause = rng.choice(["", " ", "cracked hose"])
        told = HistoryRow(2, "1", reflashed_on=REFLASHED, returned_on=returned, last_seen_on=last)
        heard = follow_ups_of(replace(told, other_cause=cause.strip()), "USD")
        found = Story(Reflashed(1, REFLASHED, RoadTest.GONE), heard).seen_by(rule, later)
        failed = returned or (last or REFLASHED if cause.strip() else None)
        if failed is not None and (failed - REFLASHED).days <= 90:
            assert found.standing == (Standing.OTHER_CAUSE if cause.strip() else Standing.COMEBACK)
            assert found.day == (failed - REFLASHED).days
        else:
            followed = failed is not None or (last is not None and (last - REFLASHED).days >= 90)
            assert found.standing == (Standing.FOLLOWED_TO_WINDOW if followed else Standing.OVERDUE)
