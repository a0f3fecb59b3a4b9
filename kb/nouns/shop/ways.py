"""Who programs a module: here, a mobile programmer, the dealer for money, the dealer for free.

Days are those that the vehicle waits or is away. What is kept counts money in minor units, what the advice
takes and says in whole ones.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from kb.nouns.days import days_said
from kb.nouns.shop.sign_offs import SignedOff


class Way(StrEnum):
    """Who does it. Free at the dealer: an open recall, or coverage that may still apply."""

    HERE = "here"
    MOBILE = "mobile_programmer"
    DEALER_PAID = "dealer_paid"
    DEALER_FREE = "dealer_free"


AWAY = (Way.MOBILE, Way.DEALER_PAID, Way.DEALER_FREE)
"""The ways by which somebody else does it."""


def days_away(days: int) -> str:
    """What stands behind a price: " and 2 days"; ", the same day" for none."""
    return f" and {days_said(days)}" if days else ", the same day"


@dataclass(frozen=True, slots=True)
class WayPriceDraft:
    """What somebody else charges for programming a module, an empty `module` for any of the make.

    `asked_on` is the day it was asked, `asked_of` whom: a role or a desk, such as "parts counter".
    """

    make: str
    way: Way
    price_minor: int
    days: int
    asked_on: date
    module: str = ""
    asked_of: str = ""
    remark: str = ""

    def is_old(self, today: date, limit_days: int) -> bool:
        """Whether it was asked longer ago than prices are trusted."""
        return (today - self.asked_on).days > limit_days


@dataclass(frozen=True, slots=True)
class WayPrice:
    """A price as it stands, and who wrote it down. `is_old`: asked longer ago than the shop's limit."""

    id: int
    version: int
    by: str
    is_old: bool
    content: WayPriceDraft


@dataclass(frozen=True, slots=True)
class WayOffer:
    """A price as the advice takes it, in whole units."""

    way: Way
    price: float
    days: int
    asked_on: date
    asked_of: str = ""
    is_old: bool = False


@dataclass(frozen=True, slots=True)
class WaysInHand:
    """What decides who may program one update's module on one vehicle, and at which price.

    `listed`: whether a device here is listed for this make, None where nobody entered what is. `signed_off`:
    who may do this kind of work on this make today. `part`: what goes in with the software, whoever programs
    it.
    """

    make: str
    offers: tuple[WayOffer, ...]
    listed: bool | None = None
    signed_off: SignedOff | None = None
    part: float = 0.0


@dataclass(frozen=True, slots=True)
class WayCost:
    """What one way costs for this vehicle, split by who pays, with all that goes with it.

    `price` is what somebody else asks, or the work here without a fee; `total` adds the fee, the part and the
    days. `why_not` says what forbids it, empty where it is allowed; `remark` what makes it as dear as it is.
    """

    way: Way
    total: float
    customer: float
    shop: float
    price: float
    days: int = 0
    why_not: str = ""
    remark: str = ""
    asked_on: date | None = None
    asked_of: str = ""
    is_old: bool = False

    @property
    def is_allowed(self) -> bool:
        return not self.why_not
