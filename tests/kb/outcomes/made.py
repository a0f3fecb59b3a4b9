"""Makers of small invented shops for the tests of outcomes."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

import numpy as np
from hypothesis import strategies as st

from kb.nouns.concerns import Duplicated, FollowUpDraft, FollowUpResult, RoadTest
from kb.nouns.outcomes import Observation, Reflashed, Standing, WindowRule
from kb.outcomes.conclusion import Answers
from kb.outcomes.silence import Silence, SilentCounts
from kb.outcomes.story import Story
from kb.outcomes.tally import DayCounts

REFLASHED = date(2026, 3, 2)
TODAY = date(2026, 11, 20)
RULE = WindowRule()


def after(days: int) -> date:
    return REFLASHED + timedelta(days)


def heard(result: FollowUpResult, days: int, odometer: int | None = None) -> FollowUpDraft:
    return FollowUpDraft(result, after(days), odometer)


def fine(days: int, odometer: int | None = None) -> FollowUpDraft:
    return heard(FollowUpResult.FINE, days, odometer)


def came_back(days: int, odometer: int | None = None) -> FollowUpDraft:
    return heard(FollowUpResult.CAME_BACK, days, odometer)


def passed(*heard: FollowUpDraft, **facts: object) -> Story:
    """A reflash whose concern was duplicated before and gone at road test."""
    return Story(Reflashed(1, REFLASHED, RoadTest.GONE, **facts), heard)  # type: ignore[arg-type]


def seen(story: Story, as_of: date = TODAY, rule: WindowRule = RULE) -> tuple[Standing, int]:
    found = story.seen_by(rule, as_of)
    return found.standing, found.day


def all_seen(stories: Iterable[Story], rule: WindowRule, as_of: date) -> tuple[Observation, ...]:
    """Reflashes of later days are left out."""
    return tuple(one.seen_by(rule, as_of) for one in stories if one.reflash.reflashed_on <= as_of)


def counts_of(times: list[int], failed: list[bool], window: int) -> DayCounts:
    """Day counts of single vehicles, later days kept at the window."""
    failures, free = np.zeros(window + 1), np.zeros(window + 1)
    for time, event in zip(times, failed, strict=True):
        if event and time <= window:
            failures[time] += 1
        else:
            free[min(time, window)] += 1
    return DayCounts(failures, free)


def answers(cured: int, failed: int, waiting: int = 0, not_asked: int = 0) -> Answers:
    """Of a group whose failures are all past their window."""
    known = cured + failed
    return Answers(cured, failed, waiting, not_asked, 0, known + not_asked, known)


def stacked(groups: list[DayCounts]) -> DayCounts:
    return DayCounts(np.array([g.failed for g in groups]), np.array([g.free for g in groups]))


def long_silent(counts: DayCounts) -> SilentCounts:
    """Groups of which every vehicle is past its window, by the day it was last seen."""
    days = np.arange(counts.free.shape[-1])
    return SilentCounts(counts.failed.sum(axis=1), counts.free, days, np.full_like(days, days[-1]))


def even_silence(window: int) -> Silence:
    """Failures show evenly by day, and nobody tells of one unasked: v = (day last seen + 1)/(W + 1)."""
    return Silence(np.arange(1, window + 2) / (window + 1), np.array([0.0]), 0.0)


follow_ups = st.builds(
    FollowUpDraft,
    result=st.sampled_from(FollowUpResult),
    seen_on=st.dates(date(2026, 1, 1), date(2027, 6, 1)),
    odometer=st.none() | st.integers(0, 300_000),
    day_known=st.booleans(),
)

reflashes = st.builds(
    Reflashed,
    update_id=st.integers(1, 4),
    reflashed_on=st.dates(date(2026, 1, 1), date(2026, 12, 31)),
    road_test=st.sampled_from(RoadTest),
    duplicated_before=st.sampled_from(Duplicated),
    other_work=st.booleans(),
    odometer=st.none() | st.integers(0, 300_000),
    usual_gap_days=st.none() | st.integers(0, 120),
    superseded_on=st.none() | st.dates(date(2026, 1, 1), date(2027, 6, 1)),
    other_cause_on=st.none() | st.dates(date(2026, 1, 1), date(2027, 6, 1)),
)

stories = st.builds(Story, reflashes, st.lists(follow_ups, max_size=4).map(tuple))
