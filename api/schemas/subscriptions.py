"""Bodies about subscriptions and plans on offer. Money is in whole units."""

from __future__ import annotations

from datetime import date
from typing import Annotated

from pydantic import Field

from api.schemas.base import In, Money, Out, Text, Word
from kb.desk.shop.subscriptions import LONGEST_DAYS, SubscriptionKind


class SubscriptionBody(In):
    """`ends_on` is the last day that it works."""

    make: Word
    kind: SubscriptionKind
    price: Money
    bought_on: date
    ends_on: date
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
