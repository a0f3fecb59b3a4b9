"""The month on one page, and the rows that it is added up from as a file."""

from __future__ import annotations

import re
from datetime import date, timedelta

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.review.month import lines_out, report
from kb.errors import BadInput
from kb.nouns.review.month import Figures
from web.downloads import csv_file
from web.visits import Somebody

router = APIRouter(prefix="/review/month")


@router.get("")
def show(visit: Somebody, month: str = "") -> Response:
    """The month asked for as 2026-10; without one, the last that is over."""
    refused, found = None, None
    with visit.reading() as desk:
        try:
            found = report.month_report(desk, _asked(month))
        except BadInput as wrong:
            refused = wrong
    begun = found.first if found else visit.today().replace(day=1)
    after = (begun + timedelta(days=31)).replace(day=1)
    return visit.page(
        "review/month.html",
        place="/review",
        report=found,
        refused=refused,
        asked=month,
        earlier=f"{begun - timedelta(days=1):%Y-%m}" if found and found.before != Figures() else "",
        later=f"{after:%Y-%m}" if after <= visit.today() else "",
    )


@router.get(".csv")
def as_file(visit: Somebody, month: str = "") -> Response:
    """Every row that the figures are added up from."""
    with visit.reading() as desk:
        first, text = lines_out.month_csv(desk, _asked(month))
    return csv_file(text, f"month-{first:%Y-%m}")


def _asked(month: str) -> date | None:
    if not month:
        return None
    if not re.fullmatch(r"[0-9]{4}-[0-9]{2}", month) or not 1 <= int(month[5:]) <= 12 or month < "0001":
        raise BadInput("A month reads like 2026-10.", fields={"month": "like 2026-10"})
    return date(int(month[:4]), int(month[5:]), 1)
