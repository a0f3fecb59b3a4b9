"""Alarms, places in the funnel and first sentences never speak against each other.

A contradiction, in plain words, is any of these:
1. an update with an alarm is named the best;
2. the best is told apart as worse than the shop, or the worst as better;
3. an update is named the best, or both best and worst, and not to be sold besides;
4. an update raises "worse than the shop" while its counts tell it apart as better than the shop;
5. nothing is said to be sure enough to stop, and an update with an alarm is left unnamed there;
6. nothing can be told yet, and there is a sentence, an alarm or a mark all the same;
7. a mark is of a rate that is called too early.
"""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.nouns.outcomes import Standing
from kb.nouns.review.alarms import Alarm, AlarmKind, Apart
from kb.nouns.review.reflash_report import ReflashReport
from kb.outcomes.alarms.report_message import Review, message
from kb.outcomes.best_and_worst import Ranking
from kb.outcomes.report_rows import AboutUpdates
from kb.outcomes.review import review
from kb.outcomes.tally import tally_rows
from tests.kb.outcomes.made import TODAY

days = st.integers(0, 400).map(lambda ago: TODAY - timedelta(ago))


def raised(kind: AlarmKind) -> st.SearchStrategy[dict[int, Alarm]]:
    some = st.builds(lambda day: Alarm(kind, day, f"Worse ({kind})."), days)
    return st.dictionaries(st.integers(1, 5), some, max_size=5)


@st.composite
def reviews(draw: st.DrawFn) -> ReflashReport:
    """Up to five updates (and reflashes of none), from very good to very bad, with any alarms raised."""
    rows = []
    for update in draw(st.sets(st.integers(0, 5), min_size=1)):
        size, cured = draw(st.sampled_from([0, 4, 30, 120])), draw(st.sampled_from([0.0, 0.2, 0.6, 0.9, 1.0]))
        failed = round(size * (1 - cured))
        at_once = draw(st.integers(0, failed))
        rows += [
            (update, 0, 0, 90, Standing.FAILED_AT_ROAD_TEST, 0, at_once),
            (update, 0, 20, 90, Standing.COMEBACK, 0, failed - at_once),
            (update, 0, 90, 90, Standing.FOLLOWED_TO_WINDOW, 0, size - failed),
            (update, 0, 30, 30, Standing.IN_WINDOW, 0, draw(st.sampled_from([0, 0, 5, 100]))),
            (update, 0, 0, 90, Standing.OVERDUE, 0, draw(st.sampled_from([0, 0, 5, 100]))),
        ]
    about = AboutUpdates(
        titles={update: f"N-{update}" for update in range(1, 6)},
        thresholds=dict.fromkeys(range(1, 6), draw(st.floats(0.05, 0.95))),
        alarms={kind: draw(raised(kind)) for kind in AlarmKind},
    )
    return review(tally_rows([row for row in rows if row[-1]], 90), TODAY, about=about)


def named_in(sentences: tuple[str, ...], begins: str) -> set[str]:
    """Names of the updates in sentences that begin so."""
    said = [one.removeprefix(begins).split(".")[0] for one in sentences if one.startswith(begins)]
    return {name for one in said for name in one.replace(",", " ").split() if name.startswith("N-")}


@settings(max_examples=80, deadline=None)
@given(reviews())
def test_no_review_contradicts_itself(report: ReflashReport) -> None:
    best = named_in(report.sentences, "Cures best: ")
    worst = named_in(report.sentences, "Cures worst: ")
    stop = named_in(report.sentences, "Stop selling without more diagnosis: ")
    unsure = named_in(report.sentences, "No update is certain enough yet")
    alarmed = {row.title for row in report.rows if row.alarms}
    apart = {row.title: row.place.apart for row in report.rows if row.place is not None}
    below = {name for name, where in apart.items() if where is Apart.BELOW}
    above = {name for name, where in apart.items() if where is Apart.ABOVE}
    assert not best & (alarmed | below | worst | stop)
    assert not alarmed & named_in(tuple(one for one in report.sentences if "luck" in one), "Cures worst: ")
    assert not worst & above
    assert not {row.title for row in report.rows if row.alarm} & above
    if [one for one in report.sentences if one.startswith("No update is certain enough yet")]:
        assert not stop
        assert len(unsure) >= min(len(alarmed), 3)
        assert unsure <= alarmed
    if report.cannot_tell_yet:
        assert not report.sentences
        assert not alarmed | below | above
    assert all(row.place is None or row.place.apart is Apart.CLOSE for row in report.rows if row.too_early)


def told(*rows: tuple[int, int], best: int, alarms: dict[int, Alarm]) -> tuple[str, ...]:
    """Sentences on updates with so many cured and so many not, with alarms and the best as ranked."""
    counts = [
        (update, 0, day, 90, standing, 0, count)
        for update, (cured, failed) in enumerate(rows, start=1)
        for day, standing, count in (
            (90, Standing.FOLLOWED_TO_WINDOW, cured),
            (0, Standing.FAILED_AT_ROAD_TEST, failed),
        )
    ]
    about = AboutUpdates(titles={1: "N-1", 2: "N-2"}, alarms={AlarmKind.PAST: alarms})
    plain = review(tally_rows(counts, 90), TODAY, about=about)
    of = Review(TODAY, 90, plain.shop.cure_rate, unsure=False)
    return message(plain.rows, Ranking(best, None, ()), of).sentences


def test_the_best_with_an_alarm_is_not_named_and_the_alarm_comes_with_the_sentence_on_stopping() -> None:
    quiet = told((60, 4), (30, 20), best=0, alarms={})
    assert quiet[0] == "No update is certain enough yet to stop selling it without more diagnosis."
    assert quiet[1].startswith("Cures best: N-1. 60 cured, 4 not.")
    new = Alarm(AlarmKind.PAST, TODAY - timedelta(9), "Worse than it was.")
    old = Alarm(AlarmKind.PAST, date(2025, 1, 1), "Worse than it was.")
    first = (
        "No update is certain enough yet to stop selling it without more diagnosis; "
        "look first at N-1, with an alarm."
    )
    assert told((60, 4), (30, 20), best=0, alarms={1: new}) == (first, "Changed: N-1. Worse than it was.")
    assert told((60, 4), (30, 20), best=0, alarms={1: old}) == (first,)


def test_what_the_counts_tell_apart_as_better_is_not_worse_than_the_shop() -> None:
    rows = [(1, 0, 90, 90, Standing.FOLLOWED_TO_WINDOW, 0, 200), (2, 0, 0, 90, Standing.COMEBACK, 0, 100)]
    alarms = {kind: {1: Alarm(kind, TODAY, "Worse.")} for kind in AlarmKind}
    row = review(tally_rows(np.array(rows), 90), TODAY, about=AboutUpdates(alarms=alarms)).rows[0]
    assert row.place is not None
    assert row.place.apart is Apart.ABOVE
    assert row.alarms == (alarms[AlarmKind.PAST][1],)


def test_alarmed_updates_are_named_as_they_are_listed_the_fourth_and_on_counted() -> None:
    rows = [(n, 0, 90, 90, Standing.FOLLOWED_TO_WINDOW, 0, 20) for n in range(1, 6)]
    old = {n: Alarm(AlarmKind.PAST, date(2025, 1, n), "Worse than it was.") for n in range(1, 6)}
    about = AboutUpdates(
        titles={n: f"N-{n} Stalls, then runs" for n in range(1, 6)},
        numbers={n: f"N-{n}" for n in range(1, 6)},
        alarms={AlarmKind.PAST: old},
    )
    report = review(tally_rows(rows, 90), TODAY, about=about)
    assert report.sentences[0].endswith("; look first at N-5, N-4, N-3 and 2 more, with an alarm.")
    assert [row.update for row, _ in report.alarms] == [5, 4, 3, 2, 1]
