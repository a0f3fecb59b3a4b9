"""Bodies about subscriptions, plans on offer and what others ask. Money is in whole units."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Self

from pydantic import Field

from api.schemas.base import Day, DayAhead, In, Money, Out, Text, Word
from api.schemas.money import in_whole_units
from kb.desk.shop.subscriptions import LONGEST_DAYS, SubscriptionKind
from kb.nouns.shop.ways import Way, WayPrice


class SubscriptionBody(In):
    """`ends_on` is the last day that it works."""

    make: Word
    kind: SubscriptionKind
    price: Money
    bought_on: Day
    ends_on: DayAhead
    plan: Word = ""
    remark: Text = ""


class SubscriptionChange(SubscriptionBody):
    version: int


class SubscriptionContentOut(Out):
    make: str
    kind: str
    price: float
    bought_on: date
    ends_on: date
    plan: str
    remark: str


class SubscriptionOut(Out):
    id: int
    version: int
    content: SubscriptionContentOut


class PlanOfferBody(In):
    """A programming plan on offer: days in a row that it covers, and its price."""

    make: Word
    days: Annotated[int, Field(ge=1, le=LONGEST_DAYS)]
    price: Money
    plan: Word = ""


class PlanOfferContentOut(Out):
    make: str
    days: int
    price: float
    plan: str


class PlanOfferOut(Out):
    id: int
    content: PlanOfferContentOut
    looked_up_on: date
    by: str


class PlanOfferSavedOut(PlanOfferOut):
    """`replaced`: the plan of the same make and length that stood before."""

    replaced: PlanOfferOut | None


class WayPriceBody(In):
    """What somebody else asks for programming; empty `module`: any of the make; `version` 0: a new one."""

    make: Word
    way: Way
    price: Money
    days: Annotated[int, Field(ge=0, le=365)]
    asked_on: Day
    module: Word = ""
    asked_of: Word = ""
    remark: Text = ""
    version: int = 0


class WayPriceOut(Out):
    """A price as it stands; `is_old`: asked longer ago than the shop's limit."""

    id: int
    version: int
    by: str
    is_old: bool
    make: str
    module: str
    way: Way
    price: float
    days: int
    asked_on: date
    asked_of: str
    remark: str

    @classmethod
    def told(cls, price: WayPrice, currency: str) -> Self:
        return cls.of(price, **in_whole_units(price.content, currency))
