"""The owner's review: what each reflash really cured."""

from __future__ import annotations

from datetime import date

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk import reports
from kb.errors import BadInput
from web.visits import Somebody

router = APIRouter()

_FIELDS = ("from", "to", "make", "module", "window_days", "as_of")


@router.get("/review")
def show(visit: Somebody) -> Response:
    """The table by update, best first, with what the numbers bear as sentences."""
    if not visit.may("lead", "owner"):
        return visit.page("review/not_yours.html", place="/review", status=403)
    asked = {name: visit.request.query_params.get(name, "").strip() for name in _FIELDS}
    refused, named = None, None
    try:
        wanted = _filter(asked)
        with visit.reading() as desk:
            named = reports.reflash_report(desk, wanted)
    except BadInput as wrong:
        refused = wrong
    return visit.page(
        "review/reflashes.html",
        place="/review",
        status=422 if refused else 200,
        asked=asked,
        refused=refused,
        report=named.report if named else None,
        names=named.names if named else {},
    )


@router.post("/review/alarms/{update_id}")
def acknowledge(visit: Somebody, update_id: int) -> Response:
    with visit.writing() as desk:
        reports.acknowledge_alarm(desk, update_id, visit.typed.text("remark"))
    return visit.go("/review", said="Written down. The watch of that update starts anew tomorrow.")


def _filter(asked: dict[str, str]) -> reports.ReportFilter:
    window = asked["window_days"]
    if window and not window.isdecimal():
        raise BadInput("The window is a number of days.", fields={"window_days": "a whole number"})
    return reports.ReportFilter(
        window_days=int(window) if window else None,
        since=_day(asked, "from"),
        until=_day(asked, "to"),
        make=asked["make"],
        module=asked["module"],
        as_of=_day(asked, "as_of"),
    )


def _day(asked: dict[str, str], name: str) -> date | None:
    try:
        return date.fromisoformat(asked[name]) if asked[name] else None
    except ValueError:
        raise BadInput("A day reads like 2026-10-31.", fields={name: "like 2026-10-31"}) from None
