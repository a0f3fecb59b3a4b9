"""Whether the advice can be trusted: what was said against what came, and what it saved."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk import advice_report
from kb.errors import NotFound
from web import charts
from web.visits import Somebody

router = APIRouter(prefix="/review/advice")


@router.get("")
def show(visit: Somebody) -> Response:
    with visit.reading() as desk:
        report = advice_report.advice_report(desk)
    return visit.page("review/advice.html", place="/review", report=report, told=report.chances)


@router.get("/reliability-{theme}-{size}.svg")
def draw(visit: Somebody, theme: str, size: str) -> Response:
    """Said against came, as a picture drawn once for each state of the outcomes."""
    if theme not in charts.INKS or size not in charts.SHEETS:
        raise NotFound("There is no such picture.")
    with visit.reading() as desk:
        bins = advice_report.advice_report(desk).chances.bins
    rows = [
        {
            "said": one.mean_chance,
            "came": one.share_cured,
            "low": one.interval[0],
            "high": one.interval[1],
            "n": one.n,
        }
        for one in bins
        if one.n
    ]

    def drawn() -> str:
        return charts.svg(lambda ink: charts.reliability(rows, ink), theme, size)

    picture = visit.shop.memory.recall(("reliability", theme, size), bins, drawn)
    return Response(picture, media_type="image/svg+xml", headers={"Cache-Control": "private, no-cache"})
