"""The owner's reports."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated

from fastapi import Depends, Query

from api.deps import Id, SignedInCall
from api.routing import Router
from api.schemas.advice_report import AdviceReportOut, advice_report_out
from api.schemas.base import Day, Word
from api.schemas.reports import (
    AlarmAnswerIn,
    AlarmAnswerOut,
    MoneyByWayOut,
    MoneyLineOut,
    ReflashReportOut,
    report_out,
)
from api.schemas.review.here_or_sent_out import HereOrSentOutOut, here_or_sent_out_out
from api.schemas.review.month import MonthOut, month_out
from kb.desk.review import advice_report as advice_desk
from kb.desk.review import alarms, reports
from kb.desk.review import money_report as money_desk
from kb.desk.review import week as week_desk
from kb.desk.review.here_or_sent_out import report as ways_desk
from kb.desk.review.month import report as month_desk
from kb.nouns.outcomes import INTERVAL_LEVEL
from kb.nouns.review.week import Week
from kb.nouns.shop.ways import Way

router = Router(prefix="/reports", tags=["reports"])


def _chosen(
    since: Annotated[Day | None, Query(alias="from")] = None,
    until: Annotated[Day | None, Query(alias="to")] = None,
    make: Word = "",
    module: Word = "",
    as_of: Day | None = None,
    way: Way | None = None,
) -> reports.ReportFilter:
    return reports.ReportFilter(since=since, until=until, make=make, module=module, as_of=as_of, way=way)


Chosen = Annotated[reports.ReportFilter, Depends(_chosen)]


@router.get("/reflashes")
def reflash_report(
    call: SignedInCall, chosen: Chosen, window_days: int | None = None, level: float = INTERVAL_LEVEL
) -> ReflashReportOut:
    """What each reflash really cured. `from` and `to` are days of the reflash, inclusive.

    `make`, `module` and `way` (who did it) choose rows; what updates are like in general stays the shop's.
    """
    asked = replace(chosen, window_days=window_days, level=level)
    with call.reading() as desk:
        return report_out(reports.reflash_report(desk, asked), desk.shop.currency)


@router.post("/reflashes/{note_id}/alarm", status_code=201)
def answer_alarm(note_id: Id, body: AlarmAnswerIn, call: SignedInCall) -> list[AlarmAnswerOut]:
    """Say what is done about an alarm; for that one the update is watched anew from tomorrow.

    Gives all answers to its alarms.
    """
    with call.writing() as desk:
        alarms.answer_alarm(desk, note_id, body.remark, body.which)
        return [AlarmAnswerOut.model_validate(one) for one in alarms.answers(desk) if one.update == note_id]


@router.get("/money")
def money_report(call: SignedInCall, chosen: Chosen) -> list[MoneyLineOut]:
    """What comebacks, needless reflashes and unused subscriptions cost, and what was avoided.

    `way` (who did it) chooses reflashes; subscriptions and what was avoided stay the whole shop's.
    """
    with call.reading() as desk:
        lines = money_desk.money_report(desk, chosen)
        return [MoneyLineOut.of_money(one, desk.shop.currency) for one in lines]


@router.get("/money/by-way")
def money_by_way(call: SignedInCall, chosen: Chosen) -> list[MoneyByWayOut]:
    """What the comebacks and needless reflashes of each way cost; nothing where all was ever done here."""
    with call.reading() as desk:
        found = money_desk.money_by_way(desk, chosen)
        return [MoneyByWayOut.of_way(one, lines, desk.shop.currency) for one, lines in found]


@router.get("/month")
def month_report(call: SignedInCall, month: Day | None = None) -> MonthOut:
    """What a month's programming came to by make and way, for the lead and the owner.

    `month` is any day of it; without one it is the last month that is over.
    """
    with call.reading() as desk:
        return month_out(month_desk.month_report(desk, month), desk.shop.currency)


@router.get("/week")
def week(call: SignedInCall) -> Week:
    """For the owner: what is new, due, waiting or about to end, each line with what it is about.

    Without `parts` nothing is. `at` is an id, a person's sign-in name or the name of a queue.
    """
    with call.reading() as desk:
        return week_desk.week(desk)


@router.get("/here-or-sent-out")
def here_or_sent_out(call: SignedInCall) -> HereOrSentOutOut:
    """From how many vehicles a year programming a make here costs less than sending it out; for the lead and
    the owner.
    """
    with call.reading() as desk:
        return here_or_sent_out_out(ways_desk.here_or_sent_out(desk), desk.shop.currency)


@router.get("/advice")
def advice_report(call: SignedInCall) -> AdviceReportOut:
    """Whether the advice can be trusted: its frozen chances against what came, and what it saved."""
    with call.reading() as desk:
        return advice_report_out(advice_desk.advice_report(desk))
