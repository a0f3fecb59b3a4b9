"""The story keeps to the chances that truth.py states, as far as chance allows.

Each share is held against its stated chance by an exact binomial test (scipy). With about 60 tests a
limit of 1e-4 fails by chance in less than one run of a hundred; the seeds are fixed, so it does not flicker.
"""

from __future__ import annotations

from collections import Counter
from datetime import date, timedelta

import numpy as np
import pytest
from scipy.stats import CensoredData, binomtest, ecdf

from demo_data.aftermath import draw_delay
from demo_data.story import FollowedUp, Found, Opened, Programmed, Story, Truth
from demo_data.truth import (
    CAME_BY_ITSELF,
    CHECKS,
    ROAD_TEST_SHOWS,
    SEEN_ONCE,
    SILENT,
    UPDATES,
    WINDOW_DAYS,
)
from kb.nouns.concerns import Duplicated, FindingResult, FollowUpResult, HowHeard, RoadTest
from tests.kb.demo.conftest import TODAY
from tests.simulated.outcomes import draw_outcomes
from tests.simulated.reflashed import REFLASHES, comeback_by, cured_in_window, cures_reflashed

UNLIKELY = 1e-4


def _agrees(hits: int, tries: int, chance: float) -> bool:
    return bool(binomtest(hits, tries, chance).pvalue > UNLIKELY)


def _truths(stories: list[Story]) -> list[Truth]:
    return [truth for one in stories for truth in one.truths]


@pytest.mark.parametrize("update", UPDATES)
def test_an_update_cures_as_often_as_its_truth_says(update: str, many_stories: list[Story]) -> None:
    stated = UPDATES[update]
    since = stated.changes_days_ago
    some = [t for t in _truths(many_stories) if t.considered == update and t.opened_days_ago >= since]
    reflashed = [t.cures for t in some if t.reflashed]
    assert len(some) > 30
    assert _agrees(sum(t.cures for t in some), len(some), stated.cures)
    assert _agrees(sum(reflashed), len(reflashed), cures_reflashed(stated, since))


def test_the_drifting_update_cures_less_often_after_its_day(many_stories: list[Story]) -> None:
    stated = UPDATES["Orsel-31"]
    late = [
        t
        for t in _truths(many_stories)
        if t.considered == "Orsel-31" and t.opened_days_ago < stated.changes_days_ago
    ]
    assert _agrees(sum(t.cures for t in late), len(late), 0.28)


def test_one_update_earns_its_place_one_does_not_and_one_has_three_vehicles(story: Story) -> None:
    assert cures_reflashed(UPDATES["Vell-22"]) == pytest.approx(0.80, abs=0.02)
    assert cures_reflashed(UPDATES["Skerra-07"]) == pytest.approx(0.35, abs=0.02)
    assert sum(t.reflashed for t in story.truths if t.considered == "Brell-104") == 3


def test_checks_say_yes_as_often_as_their_truth_says(many_stories: list[Story]) -> None:
    counts: dict[tuple[str, bool], Counter[bool]] = {}
    for one in many_stories:
        cures = {truth.concern: truth.cures for truth in one.truths}
        for event in one.events:
            if isinstance(event.what, Found) and event.what.concern in cures:
                finding = event.what.finding
                if finding.result in (FindingResult.YES, FindingResult.NO):
                    key = (finding.check, cures[event.what.concern])
                    counts.setdefault(key, Counter())[finding.result is FindingResult.YES] += 1
    assert {check for check, _ in counts} == set(CHECKS)
    for (check, cured), seen in counts.items():
        stated = CHECKS[check].yes_if_cured if cured else CHECKS[check].yes_if_not
        assert _agrees(seen[True], seen.total(), stated), check


def test_silence_does_not_hang_on_the_outcome(many_stories: list[Story]) -> None:
    passed = [t for t in _truths(many_stories) if t.reflashed]
    for some in ([t for t in passed if t.cures], [t for t in passed if not t.cures]):
        silent = sum(t.silent_after == t.installed_on for t in some)
        once = sum(t.silent_after is not None and t.silent_after != t.installed_on for t in some)
        assert _agrees(silent, len(some), SILENT)
        assert _agrees(once, len(some), SEEN_ONCE)


def test_comebacks_come_by_themselves_at_the_stated_share_and_the_others_were_asked_for(
    many_stories: list[Story],
) -> None:
    heard = [
        event.what.draft.heard
        for one in many_stories
        for event in one.events
        if isinstance(event.what, FollowedUp) and event.what.draft.result is FollowUpResult.CAME_BACK
    ]
    assert set(heard) == {HowHeard.ASKED, HowHeard.UNASKED}
    assert _agrees(heard.count(HowHeard.UNASKED), len(heard), CAME_BY_ITSELF)
    drawn = [one for seed in range(40) for one in draw_outcomes(seed)]
    back = sum(int((one.failed & (one.days > 0)).sum()) for one in drawn)
    assert _agrees(sum(int(one.unasked.sum()) for one in drawn), back, CAME_BY_ITSELF)


def test_comebacks_follow_the_stated_delay_curve(many_stories: list[Story]) -> None:
    gaps = {
        (id(one), event.what.concern): event.what.draft.usual_gap_days
        for one in many_stories
        for event in one.events
        if isinstance(event.what, Opened)
    }
    delays = [
        truth.delay_days
        for one in many_stories
        for truth in one.truths
        if truth.delay_days is not None and gaps[(id(one), truth.concern)] is None
    ]
    assert comeback_by(30) == pytest.approx(0.632, abs=0.001)  # a Weibull at its scale: 1 - 1/e
    for day in (7, 14, 30, 60, 90):
        assert _agrees(sum(delay <= day for delay in delays), len(delays), comeback_by(day))


def test_delays_are_drawn_by_the_inverse_of_the_stated_curve() -> None:
    for day in range(1, 200):
        assert draw_delay(comeback_by(day) - 1e-9, 30.0) == day


def test_the_road_test_shows_the_stated_share_of_reflashes_that_do_not_cure(
    many_stories: list[Story],
) -> None:
    shown: list[bool] = []
    for one in many_stories:
        failing = {t.concern for t in one.truths if t.reflashed and t.duplicated and not t.cures}
        shown += [
            event.what.draft.road_test is RoadTest.STILL_THERE
            for event in one.events
            if isinstance(event.what, Programmed)
            and event.what.draft.modules[0].calibration_after
            and event.what.concerns[0][0] in failing
        ]
    assert len(shown) > 500
    assert _agrees(sum(shown), len(shown), ROAD_TEST_SHOWS)


def _seen(story: Story) -> dict[str, tuple[str, int, bool]]:
    """What the shop saw of each plain reflash (seen before, no other work): update, day, came back."""
    gap = {e.what.concern for e in story.events if isinstance(e.what, Opened) and e.what.draft.usual_gap_days}
    seen: dict[str, tuple[str, int, bool]] = {}
    start: dict[str, date] = {}
    for event in story.events:
        what = event.what
        if isinstance(what, Programmed):
            draft = what.draft
            plain = draft.duplicated_before is Duplicated.YES and not draft.other_work
            for module, update, concerns in zip(draft.modules, what.updates, what.concerns, strict=True):
                if plain and module.calibration_after and concerns[0] not in gap:
                    start[concerns[0]] = event.day
                    seen[concerns[0]] = (update, 0, draft.road_test is RoadTest.STILL_THERE)
        if isinstance(what, FollowedUp) and what.concern in seen:
            update, _, failed = seen[what.concern]
            later = (what.draft.seen_on - start[what.concern]).days
            if failed or what.draft.result is FollowUpResult.NO_ANSWER:
                continue
            gone = (FollowUpResult.CAME_BACK, FollowUpResult.OTHER_CAUSE)
            back = what.draft.result in gone and later <= WINDOW_DAYS
            seen[what.concern] = (update, min(later, WINDOW_DAYS), back)
    return seen


def _greenwood(rows: list[tuple[int, bool]], rate: float) -> float:
    """Greenwood's standard error of a Kaplan-Meier estimate: rate * sqrt(sum d / (n (n - d)))."""
    total = 0.0
    for day in {day for day, gone in rows if gone}:
        at_risk = sum(other >= day for other, _ in rows)
        lost = sum(other == day and gone for other, gone in rows)
        total += lost / (at_risk * (at_risk - lost))
    return float(rate * np.sqrt(total))


def test_what_the_shop_sees_leads_back_to_the_true_cure_rate_at_the_window(
    many_stories: list[Story],
) -> None:
    """Kaplan-Meier (scipy) on the recorded events alone; within four standard errors of the truth."""
    rows = [row for one in many_stories for row in _seen(one).values()]
    for update in set(UPDATES) - {"Orsel-31", "Brell-104"}:
        some = [(day, failed) for name, day, failed in rows if name == update]
        failed = [float(day) for day, gone in some if gone]
        fine = [float(day) for day, gone in some if not gone]
        curve = ecdf(CensoredData(uncensored=failed, right=fine)).sf
        rate = float(curve.probabilities[curve.quantiles <= WINDOW_DAYS][-1])
        error = _greenwood(some, rate)
        assert abs(rate - cured_in_window(UPDATES[update])) < 4 * error, update


def test_fast_draws_lead_to_the_same_rates_as_they_state() -> None:
    followed = [draw_outcomes(seed, silent=0.0, seen_once=0.0) for seed in range(300)]
    for place, update in enumerate(REFLASHES):
        failed = np.concatenate([one[place].failed for one in followed])
        rate = followed[0][place].true_rate
        assert followed[0][place].update == update
        assert _agrees(int((~failed).sum()), failed.size, rate), update


def test_fast_draws_fall_silent_at_the_stated_share_and_never_pass_the_window() -> None:
    drawn = [one for seed in range(40) for one in draw_outcomes(seed)]
    days = np.concatenate([one.days for one in drawn])
    failed = np.concatenate([one.failed for one in drawn])
    assert days.min() == 0
    assert days.max() == WINDOW_DAYS
    quiet = int(((days == 0) & ~failed).sum())
    passed_road_test = int((~(failed & (days == 0))).sum())
    assert _agrees(quiet, passed_road_test, SILENT)


def test_the_demo_has_overdue_calls_and_vehicles_still_in_the_window(story: Story) -> None:
    heard = {e.what.concern for e in story.events if isinstance(e.what, FollowedUp)}
    waiting = [t for t in story.truths if t.installed_on and t.concern not in heard]
    ages = [(TODAY - t.installed_on).days for t in waiting if t.installed_on]
    assert sum(age < WINDOW_DAYS for age in ages) >= 20
    assert sum(age > WINDOW_DAYS + 14 for age in ages) >= 20
    assert timedelta(days=min(ages)) < timedelta(days=30)
