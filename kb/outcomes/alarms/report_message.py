"""One message: alarms, places in the funnel and first sentences, decided together from one set of rows."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from kb.nouns.chance_words import half_up, of_hundred
from kb.nouns.review.alarms import Apart, Place
from kb.nouns.review.reflash_report import ReportRow
from kb.outcomes.alarms.funnel import funnel
from kb.outcomes.best_and_worst import Ranking
from kb.outcomes.shrinkage import ENOUGH_FOLLOWED

FEW = 30
"""Known answers below which a sentence says that they are few."""
NAMED = 3
"""Alarmed updates that a sentence names."""


@dataclass(frozen=True, slots=True)
class Review:
    """What a message is about: the report's day and window, the shop's cure rate, and whether its vehicles
    are still too few to conclude anything (`unsure`).
    """

    as_of: date
    window_days: int
    target: float | None
    unsure: bool


@dataclass(frozen=True, slots=True)
class Message:
    """The rows with their places in the funnel and the alarms that stand, and the sentences above them."""

    rows: tuple[ReportRow, ...]
    sentences: tuple[str, ...]


def message(rows: Sequence[ReportRow], ranking: Ranking, of: Review) -> Message:
    """What is said of named updates, so that nothing in it speaks against the rest.

    `rows` carry the alarms as raised, `ranking` holds positions among them.

    | what                | is not said of                                                                  |
    |---------------------|---------------------------------------------------------------------------------|
    | anything            | a shop where nothing can be concluded yet                                       |
    | worse than the shop | an update that the funnel tells apart as better                                 |
    | cures best          | one with an alarm, one that the funnel tells apart as worse, one not to be sold |
    | cures worst         | one that the funnel tells apart as better                                       |

    While alarms stand no sentence leaves them out. What to stop selling comes first, then what changed.
    Alarms are named as they are listed, the latest first.
    """
    placed = tuple(
        replace(row, place=place, alarm=None if _better(place) else row.alarm)
        for row, place in zip(rows, places(rows, of), strict=True)
    )
    if of.unsure:
        return Message(tuple(replace(row, alarm=None, worse_than_it_was=None) for row in placed), ())
    alarmed = sorted((one for one in placed if one.alarms), key=_alarmed_since, reverse=True)
    stop = [placed[i] for i in ranking.stop_selling]
    said = (*_stop_selling(placed, stop, alarmed), *_changed(alarmed, of), *_best_and_worst(placed, ranking))
    return Message(placed, said)


def _alarmed_since(row: ReportRow) -> date:
    return row.alarms[0].since


def places(rows: Sequence[ReportRow], of: Review) -> list[Place | None]:
    """Where the counts of each row put it against the shop; None without a known answer."""
    if of.target is None:
        return [None] * len(rows)
    known = np.array([row.known for row in rows], dtype=np.int64)
    rates = np.array([of.target if row.cure_rate is None else row.cure_rate for row in rows])
    found = funnel(of.target, known, rates)
    return [
        Place(float(found.lower[i]), float(found.upper[i]), _apart(row, of, found.seldom[i], found.often[i]))
        if row.known and row.cure_rate is not None
        else None
        for i, row in enumerate(rows)
    ]


def _apart(row: ReportRow, of: Review, seldom: np.bool_, often: np.bool_) -> Apart:
    if of.unsure or row.too_early:
        return Apart.CLOSE
    return Apart.BELOW if seldom else Apart.ABOVE if often else Apart.CLOSE


def _better(place: Place | None) -> bool:
    return place is not None and place.apart is Apart.ABOVE


def _worse(place: Place | None) -> bool:
    return place is not None and place.apart is Apart.BELOW


def _best_and_worst(rows: Sequence[ReportRow], ranking: Ranking) -> list[str]:
    best, worst = (_followed_enough(rows, i) for i in (ranking.best, ranking.worst))
    if best is not None and (best.alarms or _worse(best.place) or ranking.best in ranking.stop_selling):
        best = None
    if worst is not None and (worst is best or _better(worst.place)):
        worst = None
    if best is not None and worst is not None and _alike(best, worst):
        return []
    said = [f"Cures best: {_name(best)}. {_told(best)}"] if best is not None else []
    return said + ([f"Cures worst: {_name(worst)}. {_told(worst)}"] if worst is not None else [])


def _stop_selling(
    rows: Sequence[ReportRow], stop: Sequence[ReportRow], alarmed: Sequence[ReportRow]
) -> list[str]:
    if stop:
        return [
            f"Stop selling without more diagnosis: {_name(row)}. It cures too seldom to go first."
            for row in stop
        ]
    none = "No update is certain enough yet to stop selling it without more diagnosis"
    if alarmed:
        return [f"{none}; look first at {_names(alarmed)}, with an alarm."]
    return [f"{none}."] if rows else []


def _changed(alarmed: Iterable[ReportRow], of: Review) -> list[str]:
    """The newest alarm of the last window's days, in a sentence of its own; an older one is no news."""
    since = of.as_of - timedelta(days=of.window_days)
    news = [(alarm.since, alarm.sentence, row) for row in alarmed for alarm in row.alarms[:1]]
    newest = sorted((one for one in news if one[0] > since), key=lambda one: one[0])[-1:]
    return [f"Changed: {row.called}. {sentence}" for _, sentence, row in newest]


def _names(rows: Sequence[ReportRow]) -> str:
    names = [row.called for row in rows[:NAMED]]
    more = len(rows) - len(names)
    *first, last = [*names, f"{more} more"] if more else names
    return f"{', '.join(first)} and {last}" if first else last


def _followed_enough(rows: Sequence[ReportRow], place: int | None) -> ReportRow | None:
    """The row, once as many of its vehicles have an answer as the shop needs before anything is said."""
    if place is None or rows[place].known < ENOUGH_FOLLOWED:
        return None
    return rows[place]


def _alike(best: ReportRow, worst: ReportRow) -> bool:
    """Each may well be as good as the other: neither bar is clear of the other's rate."""
    return (
        best.shrunken_interval[0] <= worst.shrunken_rate or worst.shrunken_interval[1] >= best.shrunken_rate
    )


def _name(row: ReportRow) -> str:
    return row.title or f"update {row.update}"


def _told(row: ReportRow) -> str:
    """The counts first, and why the rate is not theirs; the rate never without its ends.

    Luck is not named beside an alarm, which says that there is more than bad luck in it.
    """
    low, high = (half_up(100 * one) for one in row.shrunken_interval)
    few = "From so few the best guess is" if row.alarms else "So few can be luck: the best guess is"
    why = few if row.known < FEW else "The best guess is"
    return f"{row.record_said}. {why} {of_hundred(row.shrunken_rate)}, very likely {low} to {high}."
