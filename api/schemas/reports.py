"""Bodies of the reports. Rates are unrounded chances, money whole units."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Self

from pydantic import Field

from api.schemas.base import In, Out, Text
from kb.desk.review.money_report import MoneyLine
from kb.desk.review.reports import NamedReport
from kb.nouns.currency import to_major
from kb.nouns.recorded_words import in_words
from kb.nouns.review.alarms import AlarmKind
from kb.nouns.review.reflash_report import ReportRow
from kb.nouns.shop.ways import Way

Interval = tuple[float, float]


class AlarmOut(Out):
    since: date
    sentence: str


class AlarmAnswerIn(In):
    """`which` alarm is answered: worse than the shop, or than its own past."""

    remark: Text
    which: AlarmKind = AlarmKind.SHOP


class AlarmAnswerOut(Out):
    """`note` is the id of the update's note."""

    note: int = Field(validation_alias="update")
    which: AlarmKind
    on: date
    by: str
    remark: str


class RowOut(Out):
    """One update, or the whole shop. `update` is the number as typed; `note` its id, null for the shop.

    `alarm` is against the shop without the update, `worse_than_it_was` against its own past.
    """

    update: str
    note: int | None
    title: str
    tried: int
    failed_at_road_test: int
    comebacks: int
    in_window: int
    overdue: int
    followed_to_window: int
    cured_with_other_work: int
    cure_rate: float | None
    interval: Interval
    rate_if_silence_is_fine: float | None
    shrunken_rate: float
    shrunken_interval: Interval
    comeback_cost: float
    alarm: AlarmOut | None
    worse_than_it_was: AlarmOut | None


class WayRowOut(RowOut):
    """The reflashes of one way together: who did them."""

    way: Way


class ToldUnaskedOut(Out):
    """Share of failures that a shop hears of without asking: mean, lowest and highest fifth of the belief.

    Of vehicles past their window: comebacks told `unasked`, `found` on asking, and the `reached` of the
    `silent` ones. `sentence` says it in words.
    """

    share: float
    low: float
    high: float
    unasked: int
    found: int
    reached: int
    silent: int
    sentence: str


class MoneyLineOut(Out):
    """How often, and what it came to; `is_sum`: of the lines before it, back to the last sum."""

    what: str
    count: int
    amount: float
    rests_on: str
    is_sum: bool


class MoneyByWayOut(Out):
    """What the reflashes of one way came to."""

    way: Way
    title: str
    lines: list[MoneyLineOut]

    @classmethod
    def of_way(cls, way: Way, lines: Iterable[MoneyLine], currency: str) -> Self:
        told = [MoneyLineOut.of_money(one, currency) for one in lines]
        return cls(way=way, title=in_words(way, "way"), lines=told)


class ReflashReportOut(Out):
    as_of: date
    window_days: int
    level: float
    cannot_tell_yet: bool
    sentences: list[str]
    told_unasked: ToldUnaskedOut
    shop: RowOut
    rows: list[RowOut]
    by_way: list[WayRowOut]


def report_out(named: NamedReport, currency: str) -> ReflashReportOut:
    """The report with each row under the number of its update."""
    report = named.report
    return ReflashReportOut.of(
        report,
        told_unasked=named.told,
        shop=_row(report.shop, "", "The shop", currency),
        rows=[_row(row, *_called(named.names[row.update or 0]), currency) for row in report.rows],
        by_way=[
            WayRowOut(**dict(_row(row, "", in_words(way, "way"), currency)), way=way)
            for way, row in named.by_way
        ],
    )


def _called(name: tuple[str, str]) -> tuple[str, str]:
    """An update without a number goes by its title."""
    number, title = name
    return number or title, title


def _row(row: ReportRow, number: str, title: str, currency: str) -> RowOut:
    return RowOut.of(
        row,
        update=number,
        note=row.update or None,
        title=title,
        comeback_cost=to_major(row.comeback_cost, currency),
    )
