"""What ends within weeks: subscriptions, lists of devices, sign-offs and people's own access."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from kb.nouns.days import day_words
from kb.nouns.review.week import (
    LISTING_GOOD_DAYS,
    NEW_DAYS,
    SHORT_ACCESS_DAYS,
    About,
    Bought,
    Listing,
    WeekLine,
    WeekOnFile,
)
from kb.nouns.shop.who_needs_signing import LOOKED_AHEAD_DAYS
from kb.vehicle.families import fold

Dated = list[tuple[date, WeekLine]]


def ending_lines(found: WeekOnFile, today: date) -> list[WeekLine]:
    """Subscriptions, lists, credentials and sign-offs by their day."""
    ends = found.signing.ends if found.signing else ()
    own = [(one.on, WeekLine(one.called, one.said, About.PERSON, one.person)) for one in ends]
    dated = [*_subscriptions(found.bought, today), *own, *_listings(found.listings, today)]
    return [line for _, line in sorted(dated, key=lambda one: (one[0], one[1].label, one[1].text))]


def _subscriptions(bought: Iterable[Bought], today: date) -> Dated:
    """Of each make and kind the one that ends last, unless it was bought for a few days."""
    last: dict[tuple[str, str], Bought] = {}
    for one in sorted(bought, key=lambda one: one.ends_on):
        last[fold(one.make), one.kind] = one
    first, until = today - timedelta(NEW_DAYS), today + timedelta(LOOKED_AHEAD_DAYS)
    return [
        (one.ends_on, WeekLine(one.make, _ends(one, today), About.SUBSCRIPTIONS))
        for one in last.values()
        if first <= one.ends_on <= until and (one.ends_on - one.bought_on).days >= SHORT_ACCESS_DAYS
    ]


def _listings(listings: Iterable[Listing], today: date) -> Dated:
    """Lists that somebody looked up so long ago that they are looked up again."""
    found = []
    for one in listings:
        good_to = one.looked_up_on + timedelta(LISTING_GOOD_DAYS)
        if good_to <= today + timedelta(LOOKED_AHEAD_DAYS):
            day = day_words(one.looked_up_on)
            said = f"{one.make}'s list of devices was looked up {day}: look it up again"
            found.append((good_to, WeekLine(one.device, said, About.EQUIPMENT)))
    return found


def _ends(one: Bought, today: date) -> str:
    return f"{one.kind} subscription {'ended' if one.ends_on < today else 'ends'} {day_words(one.ends_on)}"
