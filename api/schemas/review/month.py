"""The month over the interface: figures by make and way, beside earlier months. Money is in whole units."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from api.schemas.base import Out
from kb.nouns.review.month import MonthReport


class FiguresOut(Out):
    """What a month comes to. `failed` are modules that stopped, were lost or had to be recovered; `borne` is
    the part of `cost` that the shop bore; `minutes` are of sittings here; `access` is the month's share of
    programming subscriptions.
    """

    sittings: int
    tried: int
    done: int
    failed: int
    recovered: int
    nothing_newer: int
    cured: int
    not_cured_at_road_test: int
    comebacks: int
    waiting: int
    other: int
    billed: float
    credited: float
    cost: float
    borne: float
    minutes: int
    unbilled_minutes: int
    without_minutes: int
    access: float
    turned_away: int


class MonthLineOut(Out):
    """`more`: how many makes and ways are added up in it, which have no line of their own."""

    make: str
    way: str
    figures: FiguresOut
    more: int


class ThenOut(Out):
    """`among`: what it is a share of, null for a plain count; `luck`: what the difference bears, in words."""

    count: int
    among: int | None
    luck: str


class ComparedOut(Out):
    name: str
    count: int
    among: int | None
    before: ThenOut
    year_before: ThenOut


class PieceLineOut(Out):
    """Modules tried with a piece and version, and failed, in the month and in twelve months."""

    kind: str
    name: str
    version: str
    tried: int
    failed: int
    tried_in_year: int
    failed_in_year: int
    luck: str


class TurnedAwayOut(Out):
    make: str
    missing: str
    count: int


class MonthOut(Out):
    """`last` is the last day counted; `before` and `year_before` are as they stood when they were as old."""

    first: date
    last: date
    as_of: date
    lines: list[MonthLineOut]
    total: FiguresOut
    before: FiguresOut
    year_before: FiguresOut
    compared: list[ComparedOut]
    pieces: list[PieceLineOut]
    turned_away: list[TurnedAwayOut]


def month_out(report: MonthReport, currency: str) -> MonthOut:
    return MonthOut.of_money(replace(report, entries=()), currency)
