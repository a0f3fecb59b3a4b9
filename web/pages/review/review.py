"""The owner's review: what each reflash really cured."""

from __future__ import annotations

from datetime import date
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.calls import whom_to_call
from kb.desk.imports import imports
from kb.desk.review import alarms, curves, money_report, reports, review_tables
from kb.errors import BadInput, NotAllowed, NotFound
from kb.nouns.review.alarms import AlarmKind
from kb.nouns.review.reflash_report import ReportRow
from kb.nouns.shop.ways import Way
from web.query_values import choice_asked, day_asked, number_asked
from web.visits import Somebody, Visit

router = APIRouter()

SHOWN_ANSWERS = 5

_NOT_YOURS = NotAllowed("The review is for the lead and the owner")
_FIELDS = ("from", "to", "make", "module", "way", "window_days", "as_of")


@router.get("/review")
def show(visit: Somebody) -> Response:
    """The table by update, best first, with what the numbers bear as sentences."""
    if not visit.may("lead", "owner"):
        return visit.page("review/not_yours.html", place="/review", refused=_NOT_YOURS)
    asked = asked_of(visit)
    refused, named = None, None
    more: dict[str, Any] = {}
    with visit.reading() as desk:
        makes, modules = reports.makes_and_modules(desk)
        half_taken = imports.half_taken(desk)
        try:
            wanted = filter_of(asked)
            named = reports.reflash_report(desk, wanted)
            more = {
                "funnel": review_tables.funnel_table(desk, wanted),
                "months": review_tables.month_table(desk, wanted),
                "quarters": review_tables.quarter_table(desk, wanted),
                "money": (money := money_report.money_report(desk, wanted)),
                "came_in": next((one for one in money if one.what == money_report.CAME_IN), None),
                "answers": alarms.answers(desk, wanted.as_of)[:SHOWN_ANSWERS],
                "wanted": wanted,
                "whom": whom_to_call.whom_to_call(desk),
            }
        except BadInput as wrong:
            refused = wrong
    return visit.page(
        "review/reflashes.html",
        place="/review",
        asked=asked,
        refused=refused,
        report=named.report if named else None,
        rows=named.report.best_first if named else (),
        names=named.names if named else {},
        told=named.told if named else None,
        by_way=named.by_way if named else (),
        query=query_of(asked),
        periods=_periods(asked, visit.today()),
        programmed={"make": makes, "module": modules},
        half_taken=half_taken,
        **more,
    )


@router.get("/review/updates/{note_id}")
def show_update(visit: Somebody, note_id: int) -> Response:
    """One update: its row, and how long its cures hold."""
    with visit.reading() as desk:
        named = reports.reflash_report(desk, reports.ReportFilter())
        curve = curves.update_curve(desk, note_id)
        vehicles = review_tables.vehicles_of_update(desk, note_id)
        answered = [one for one in alarms.answers(desk) if one.update == note_id]
        whom = whom_to_call.whom_to_call(desk, note_id)
    row = _row_of(named, note_id)
    return visit.page(
        "review/update.html",
        place="/review",
        row=row,
        told=named.told,
        whom=whom,
        shop_row=named.report.shop,
        name=named.names.get(note_id, ("", row.title)),
        note_id=note_id,
        curve=curve,
        vehicles=vehicles,
        answered=answered,
        most=review_tables.MOST_VEHICLES,
    )


@router.get("/review/alarms/{update_id}")
def show_alarm(visit: Somebody, update_id: int, which: str = "") -> Response:
    return _alarm_page(visit, update_id, _which(which))


@router.post("/review/alarms/{update_id}")
def answer(visit: Somebody, update_id: int) -> Response:
    """Take an answer to an alarm; without words of what is done about it the alarm stays."""
    which = _which(visit.typed.text("which"))
    try:
        with visit.writing() as desk:
            alarms.answer_alarm(desk, update_id, visit.typed.text("remark"), which)
    except BadInput as refused:
        return _alarm_page(visit, update_id, which, refused)
    return visit.go("/review", said="Written down. That update is watched anew from tomorrow.")


def _which(said: str) -> AlarmKind:
    return AlarmKind.PAST if said == AlarmKind.PAST.value else AlarmKind.SHOP


def _alarm_page(visit: Visit, update_id: int, which: AlarmKind, refused: BadInput | None = None) -> Response:
    with visit.reading() as desk:
        named = reports.reflash_report(desk, reports.ReportFilter())
    row = _row_of(named, update_id)
    return visit.page(
        "review/answer.html",
        place="/review",
        refused=refused,
        row=row,
        which=which,
        alarm=next((one for one in row.alarms if one.kind is which), None),
        name=named.names.get(update_id, ("", row.title)),
    )


def _row_of(named: reports.NamedReport, update_id: int) -> ReportRow:
    row = next((row for row in named.report.rows if row.update == update_id), None)
    if row is None:
        raise NotFound("No reflash with this update is recorded.")
    return row


def asked_of(visit: Visit) -> dict[str, str]:
    """What the address asks for, as typed."""
    return {name: visit.request.query_params.get(name, "").strip() for name in _FIELDS}


def _periods(asked: dict[str, str], today: date) -> dict[str, str]:
    """The same question of other days: what each is called, and the end of its address."""
    begun = {"this month": today.replace(day=1), "this year": today.replace(month=1, day=1)}
    others = {called: query_of(asked | {"from": str(day), "to": ""}) for called, day in begun.items()}
    return others | {"all time": query_of(asked | {"from": "", "to": ""})}


def query_of(asked: dict[str, str]) -> str:
    """The same as the end of an address, empty where nothing is asked."""
    said = urlencode({name: value for name, value in asked.items() if value})
    return f"?{said}" if said else ""


def filter_of(asked: dict[str, str]) -> reports.ReportFilter:
    return reports.ReportFilter(
        window_days=number_asked(asked["window_days"], "window_days", 3650),
        since=day_asked(asked["from"], "from"),
        until=day_asked(asked["to"], "to"),
        make=asked["make"],
        module=asked["module"],
        way=choice_asked(asked["way"], Way, "way"),
        as_of=day_asked(asked["as_of"], "as_of"),
    )
