"""The week on one page, and the same lines as a text to copy or print."""

from __future__ import annotations

from urllib.parse import urlencode

from fastapi import APIRouter
from starlette.responses import PlainTextResponse, Response

from kb.desk.access import accounts
from kb.desk.review import week as week_desk
from kb.nouns.review.week import About, WeekLine
from web.visits import Somebody

router = APIRouter(prefix="/review/week")

_AT = {
    About.ALARM: "/review#watch",
    About.CALLS: "/follow-ups",
    About.CONCERN: "/concerns/{at}",
    About.SUBSCRIPTIONS: "/shop/subscriptions",
    About.EQUIPMENT: "/shop/equipment",
    About.PEOPLE: "/shop/people",
    About.PERSON: "/shop/people/{at}/sign-offs",
    About.BACKUPS: "/shop/backups",
    About.QUEUE: "/queues/{at}",
    About.FIRST_STEPS: "/concerns#steps",
}


@router.get("")
def show(visit: Somebody) -> Response:
    visit.only("owner")
    with visit.reading() as desk:
        found, text = week_desk.week(desk), week_desk.week_text(desk)
        ids = {one.name: one.id for one in accounts.list_users(desk)}

    def leads_to(line: WeekLine) -> str:
        at = ids[line.at] if line.about is About.PERSON else line.at
        asked = f"?{urlencode({'make': line.make})}#add" if line.make else ""
        return _AT[line.about].format(at=at) + asked

    return visit.page("review/week.html", place="/review", week=found, text=text, leads_to=leads_to)


@router.get(".txt")
def as_text(visit: Somebody) -> Response:
    """The lines alone."""
    with visit.reading() as desk:
        return PlainTextResponse(week_desk.week_text(desk))
