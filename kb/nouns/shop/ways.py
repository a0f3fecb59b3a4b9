"""Who programs a module: here, a mobile programmer, the dealer for money, the dealer for free.

Days are working days that the vehicle is away; money is in minor units.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class Way(StrEnum):
    """Who does it. Free at the dealer: an open recall, or coverage that may still apply."""

    HERE = "here"
    MOBILE = "mobile_programmer"
    DEALER_PAID = "dealer_paid"
    DEALER_FREE = "dealer_free"


AWAY = (Way.MOBILE, Way.DEALER_PAID, Way.DEALER_FREE)
"""The ways by which somebody else does it."""


@dataclass(frozen=True, slots=True)
class WayPriceDraft:
    """What somebody else asks for programming a module, an empty `module` for any of the make.

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


@dataclass(frozen=True, slots=True)
class WayPrice:
    """A price as it stands, and who wrote it down. `is_old`: asked longer ago than the shop's limit."""

    id: int
    version: int
    by: str
    is_old: bool
    content: WayPriceDraft
