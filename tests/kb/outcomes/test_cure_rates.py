"""Rows and counts of the report on reflashes, from compact counts."""

from __future__ import annotations

import re
from collections import Counter
from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from kb.errors import BadInput
from kb.nouns.outcomes import Standing
from kb.nouns.review.reflash_report import ReflashReport, ReportRow
from kb.outcomes.best_and_worst import rank
from kb.outcomes.report_rows import AboutUpdates
from kb.outcomes.review import ReviewSettings, review
from kb.outcomes.shrinkage import CureChances
from kb.outcomes.story import Story
from kb.outcomes.tally import tally, tally_rows
from tests.kb.outcomes.made import RULE, TODAY, all_seen, stories

# (update, month, day, silent_day, standing, other_work, count): an invented shop of two updates.
ROWS = [
    (4, 24300, 0, 0, Standing.FAILED_AT_ROAD_TEST, 0, 3),
    (4, 24300, 21, 21, Standing.COMEBACK, 0, 2),
    (4, 24301, 90, 90, Standing.FOLLOWED_TO_WINDOW, 0, 8),
    (4, 24301, 10, 90, Standing.OVERDUE, 0, 4),
    (4, 24301, 0, 90, Standing.NOT_KNOWN, 0, 1),
    (4, 24301, 90, 90, Standing.FOLLOWED_TO_WINDOW, 1, 2),
    (4, 24301, 30, 30, Standing.COMEBACK, 1, 1),
    (9, 24302, 40, 60, Standing.IN_WINDOW, 0, 5),
    (9, 24302, 0, 60, Standing.NOT_KNOWN, 0, 2),
    (9, 24302, 55, 55, Standing.ENDED, 0, 1),
    (9, 24300, 90, 90, Standing.FOLLOWED_TO_WINDOW, 0, 30),
    (9, 24300, 14, 14, Standing.OTHER_CAUSE, 0, 1),
]


def report(rows: list[tuple[int, ...]] = ROWS, **about: object) -> ReflashReport:
    beside = AboutUpdates({4: "Surge", 9: "Harsh shift"}, **about)  # type: ignore[arg-type]
    return review(tally_rows(rows, 90), TODAY, about=beside)


def counted(row: ReportRow) -> tuple[int, ...]:
    return (
        row.tried,
        row.failed_at_road_test,
        row.comebacks,
        row.in_window,
        row.overdue,
        row.followed_to_window,
        row.cured_with_other_work,
    )


def test_every_reflash_is_counted_where_it_stands() -> None:
    shown = report()
    assert [counted(row) for row in shown.rows] == [(18, 3, 2, 0, 5, 8, 2), (39, 0, 1, 7, 0, 30, 0)]
    assert counted(shown.shop) == (57, 3, 3, 7, 5, 38, 2)
    assert [row.title for row in shown.rows] == ["Surge", "Harsh shift"]
    assert shown.shop.update is None


def test_the_rate_is_scipys_kaplan_meier_and_silence_is_bracketed() -> None:
    surge = report().rows[0]
    times = [0] * 3 + [21] * 2 + [90] * 8 + [10] * 4
    known = stats.CensoredData.right_censored(times, [False] * 5 + [True] * 12)
    assert surge.cure_rate == pytest.approx(stats.ecdf(known).sf.evaluate(90))
    fine = stats.CensoredData.right_censored([*times[:13], *[90] * 4], [False] * 5 + [True] * 12)
    assert surge.rate_if_silence_is_fine == pytest.approx(stats.ecdf(fine).sf.evaluate(90))
    assert surge.rate_if_silence_is_fine == pytest.approx(12 / 17)


def test_best_worst_and_stop_selling_are_said_only_when_enough_were_followed() -> None:
    told = report(thresholds={4: 0.95, 9: 0.5})
    assert not told.cannot_tell_yet
    assert [s.split(":")[0] for s in told.sentences] == [
        "Stop selling without more diagnosis",
        "Cures best",
        "Cures worst",
    ]
    stop, best, worst = told.sentences
    assert best.startswith("Cures best: Harsh shift. 30 cured, 1 not, 7 waiting. The best guess is ")
    assert worst.startswith(
        "Cures worst: Surge. 8 cured, 5 not (3 at road test), 5 not heard of. So few can be luck: "
    )
    for sentence, row in zip((best, worst), reversed(told.rows), strict=True):
        rate, low, high = re.findall(r"guess is (\d+) of 100, very likely (\d+) to (\d+)", sentence)[0]
        ends = (row.shrunken_rate, *row.shrunken_interval)
        assert [int(rate), int(low), int(high)] == [pytest.approx(100 * one, abs=0.51) for one in ends]
    assert "Surge" in stop
    assert "certain enough" in report(thresholds={4: 0.05, 9: 0.05}).sentences[0]
    few = report([(4, 24300, 90, 90, Standing.FOLLOWED_TO_WINDOW, 0, 9)], thresholds={4: 1.0})
    assert few.cannot_tell_yet
    assert few.sentences == ()


def belief(*chances: float) -> CureChances:
    edges = np.linspace(0, 1, 101)
    return CureChances(edges, np.array([np.histogram([x], edges)[0] for x in chances], dtype=float))


def test_nothing_is_named_that_hangs_on_silence() -> None:
    limits = np.array([0.5, np.nan])
    firm = rank(belief(0.205, 0.805), belief(0.305, 0.805), 0.9, limits)
    assert (firm.best, firm.worst, firm.stop_selling) == (1, 0, (0,))
    open_ = rank(belief(0.205, 0.805), belief(0.905, 0.805), 0.9, limits)
    assert (open_.best, open_.worst, open_.stop_selling) == (None, None, ())


def test_costs_and_alarms_are_those_given() -> None:
    shown = report(comeback_costs={4: 12_300, 9: 700})
    assert [row.comeback_cost for row in shown.rows] == [12_300, 700]
    assert shown.shop.comeback_cost == 13_000


def test_rows_of_a_part_still_learn_from_the_whole_shop() -> None:
    whole = tally_rows(ROWS, 90)
    part = tally_rows([row for row in ROWS if row[0] == 4], 90)
    shown = review(part, TODAY, shop=whole)
    assert [row.update for row in shown.rows] == [4]
    assert shown.rows[0].shrunken_rate == pytest.approx(report().rows[0].shrunken_rate)
    assert shown.shop.tried == 57


def test_an_empty_shop_has_a_report() -> None:
    empty = review(tally_rows([], 90), TODAY)
    assert empty.rows == ()
    assert empty.cannot_tell_yet
    assert empty.shop.cure_rate is None
    assert empty.shop.interval == (0.0, 1.0)
    assert 0 < empty.shop.shrunken_interval[0] < empty.shop.shrunken_interval[1] < 1


def test_impossible_counts_and_levels_are_refused() -> None:
    for row in ((4, 24300, 91, 91, 1, 0, 1), (4, 24300, 9, 9, 8, 0, 1), (4, 24300, 9, 9, 1, 0, -1)):
        with pytest.raises(BadInput):
            tally_rows([row], 90)
    with pytest.raises(BadInput):
        review(tally_rows(ROWS, 90), TODAY, settings=ReviewSettings(level=1.0))


@settings(max_examples=60)
@given(st.lists(stories, max_size=30))
def test_any_facts_make_a_report_whose_numbers_add_up(facts: list[Story]) -> None:
    observations = all_seen(facts, RULE, TODAY + timedelta(60))
    shown = review(tally(observations, RULE.days), TODAY + timedelta(60))
    ended = Counter(o.update_id for o in observations if o.standing == Standing.ENDED and not o.other_work)
    for row in shown.rows:
        tried, *parts, _ = counted(row)
        assert tried == sum(parts) + ended[row.update or 0]
        check_rates(row)
    check_rates(shown.shop)
    assert shown.shop.tried == sum(row.tried for row in shown.rows)


def check_rates(row: ReportRow) -> None:
    low, high = row.interval
    assert 0.0 <= low < high <= 1.0
    assert 0.0 < row.shrunken_interval[0] < row.shrunken_rate < row.shrunken_interval[1] < 1.0
    if row.cure_rate is not None:
        assert row.rate_if_silence_is_fine is not None
        assert 0.0 <= row.cure_rate <= row.rate_if_silence_is_fine + 1e-12 <= 1.0 + 1e-9


@settings(max_examples=30)
@given(st.lists(stories, min_size=1, max_size=30), st.integers(1, 3))
def test_counting_equal_vehicles_together_changes_nothing(facts: list[Story], times: int) -> None:
    observations = all_seen(facts * times, RULE, TODAY)
    single = tally(observations, RULE.days)
    groups = Counter(
        (o.update_id, o.month, o.day, o.silent_day, int(o.standing), int(o.other_work)) for o in observations
    )
    together = tally_rows([(*key, n) for key, n in groups.items()], RULE.days)
    assert review(together, TODAY) == review(single, TODAY)
