"""What was spent on programming subscriptions, until when one is paid, and which were bought too soon."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta


@dataclass(frozen=True, slots=True)
class Purchase:
    """A subscription as bought: its first and its last day, and its price in minor units."""

    first: date
    last: date
    price_minor: int


@dataclass(frozen=True, slots=True)
class Spent:
    """What was bought within some days: how many, for how much, and how much of that still runs.

    `earlier`: how many were bought before and still ran then, whose price is not in it.
    """

    count: int
    price_minor: int
    running_minor: int
    earlier: int


def spent(bought: Iterable[Purchase], since: date, today: date) -> Spent:
    """What was bought after `since` and up to `today`, both prices in minor units."""
    known = [one for one in bought if one.first <= today]
    lately = [one for one in known if one.first > since]
    return Spent(
        len(lately),
        sum(one.price_minor for one in lately),
        sum(one.price_minor for one in lately if one.last >= today),
        sum(one.first <= since < one.last for one in known),
    )


def paid_through(bought: Iterable[Purchase], today: date) -> date | None:
    """The last of the days from today on that are covered without a gap; None where today is not."""
    reached = today - timedelta(days=1)
    for one in sorted(bought, key=lambda one: one.first):
        if one.first <= reached + timedelta(days=1):
            reached = max(reached, one.last)
    return reached if reached >= today else None


def begun_while_one_ran(bought: Sequence[Purchase]) -> tuple[int, ...]:
    """Places in `bought` of what was paid for while one begun before it still ran, by first day.

    The last day is one that runs: what begins on it pays for that day twice, what begins on the day after
    does not. Of two with one first day it is the later in the order given. What was free is not counted,
    though it may be what still ran.
    """
    found: list[int] = []
    reached = date.min
    for place in sorted(range(len(bought)), key=lambda place: bought[place].first):
        one = bought[place]
        if one.price_minor and one.first <= reached:
            found.append(place)
        reached = max(reached, one.last)
    return tuple(found)
