"""What the shop is called, which local days it keeps, and its currency."""

from __future__ import annotations

from functools import lru_cache
from zoneinfo import available_timezones

from kb.desk.context import Desk, owner_only
from kb.desk.shop_facts import ShopFacts
from kb.errors import BadInput
from kb.nouns.bay.list_asked import ListAsked
from kb.nouns.currency import is_currency
from kb.records.store.bay import other_concerns
from kb.records.store.shop.opening import the_shop

LONGEST_NAME = 80
_OF_THE_US = (
    "America/New_York",
    "America/Chicago",
    "America/Denver",
    "America/Phoenix",
    "America/Los_Angeles",
    "America/Anchorage",
    "Pacific/Honolulu",
    "America/Puerto_Rico",
)
"""A zone for each time that is kept in the United States, east to west, the island last."""


@lru_cache(maxsize=1)
def zones_offered() -> tuple[str, ...]:
    """Every time zone: those of the United States first, then all the others by name."""
    return (*_OF_THE_US, *sorted(available_timezones() - set(_OF_THE_US)))


@owner_only
def change_shop(desk: Desk, name: str, timezone: str, currency: str) -> ShopFacts:
    """Every process uses the new facts from its next request on.

    The currency is fixed once a concern is on file, since amounts already kept would change their meaning.
    """
    name, timezone, currency = name.strip(), timezone.strip(), currency.strip().upper()
    wrong: dict[str, str] = {}
    if not 0 < len(name) <= LONGEST_NAME:
        wrong["name"] = f"Give the shop a name of up to {LONGEST_NAME} characters."
    if timezone not in available_timezones():
        wrong["timezone"] = "Name a time zone such as America/Chicago."
    if not is_currency(currency):
        wrong["currency"] = "Name a currency by its three letters, such as USD."
    in_use = other_concerns.concerns_listed(desk.session, desk.shop.id, ListAsked(""), 1)
    if currency != desk.shop.currency and in_use:
        wrong["currency"] = f"The currency stays {desk.shop.currency}: amounts are on file."
    if wrong:
        raise BadInput(" ".join(wrong.values()), fields=wrong)
    row = the_shop(desk.session)
    assert row is not None, "a desk has a shop"  # noqa: S101  # narrows the type
    row.name, row.timezone, row.currency = name, timezone, currency
    desk.bump("settings")
    desk.note_down("changed", "shop", desk.shop.id, name=name, timezone=timezone, currency=currency)
    return ShopFacts(desk.shop.id, name, timezone, currency, desk.shop.is_demo)
