"""Who comes in: a request becomes a visit, where it comes from our own page."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import nullcontext
from typing import Annotated

from fastapi import BackgroundTasks, Depends
from starlette.requests import Request

from api.connection import cookies
from api.form_tokens import is_token
from api.schemas.base import BIGGEST_ID
from api.security import COOKIE, note_use
from api.who_may import roles_of
from kb.desk.access import sessions
from kb.desk.access.sessions import Visitor
from kb.desk.context import RunningShop, refuse_other_roles
from kb.errors import NotAllowed, NotFound, NotSignedIn, PasswordIsGiven
from web.forms import TypedForm, form_and_files
from web.sent_form import sending_of
from web.visits.visit import FORM_COOKIE, Visit

_BEFORE_ALL_ELSE = frozenset({"/me/password", "/sign-in", "/sign-out"})


def visitor_of(request: Request) -> Visitor | None:
    """Who comes, settled before the form is read."""
    shop: RunningShop = request.app.state.shop
    cookie, visitor = cookies.read(request, COOKIE), None
    if cookie:
        with shop.reading() as desk:
            visitor = sessions.who_holds_cookie(desk, cookie)
    request.state.visitor = visitor
    return visitor


def anybody(
    request: Request,
    visitor: Annotated[Visitor | None, Depends(visitor_of)],
    typed: Annotated[TypedForm, Depends(form_and_files)],
    afterwards: BackgroundTasks,
) -> Iterator[Visit]:
    """A visit with or without sign-in. A post must carry the token of the page that it came from."""
    _refuse_long_ids(request)
    visit = _arrive(request, visitor, typed)
    if request.method == "POST":
        _came_from_our_page(visit)
    if visitor is not None and visitor.password_is_given and request.url.path not in _BEFORE_ALL_ELSE:
        raise PasswordIsGiven
    if visitor is not None and visitor.worth_noting:
        afterwards.add_task(note_use, request, visit.shop, visit.actor.came_by)
    with visit.sending or nullcontext():
        yield visit


def somebody(visit: Annotated[Visit, Depends(anybody)]) -> Visit:
    """A visit of a person of the shop; raises NotSignedIn otherwise, and NotAllowed where a form is posted
    that is none of theirs, before it is looked at.
    """
    if visit.visitor is None:
        raise NotSignedIn("Please sign in first.")
    if visit.visitor.handed_over is not None and not is_for_the_customer(visit, visit.visitor.handed_over):
        raise NotSignedIn("This tablet is turned to the customer. Show who you are first.")
    if visit.request.method == "POST":
        refuse_other_roles(visit.actor, roles_of(visit.request.scope["endpoint"]))
    return visit


Anybody = Annotated[Visit, Depends(anybody)]
Somebody = Annotated[Visit, Depends(somebody)]


def is_for_the_customer(visit: Visit, concern_id: int) -> bool:
    """What a customer who holds the tablet may see and send: the question, their answer, the thanks."""
    of_concern = f"/concerns/{concern_id}"
    if visit.request.method == "POST":
        answers = visit.request.url.path == f"{of_concern}/authorization"
        return answers and visit.typed.text("way") == "tablet"
    asked = (
        visit.request.url.path == f"{of_concern}/ask" and visit.request.query_params.get("way") == "tablet"
    )
    return asked or visit.request.url.path == f"{of_concern}/thanks"


def _arrive(request: Request, visitor: Visitor | None, typed: TypedForm) -> Visit:
    shop: RunningShop = request.app.state.shop
    sending = sending_of(shop, visitor.actor, request.url.path, typed) if visitor else None
    return Visit(request, shop, request.app.state.env, typed, visitor, sending)


def _refuse_long_ids(request: Request) -> None:
    """An id that no database column holds names nothing."""
    for value in request.path_params.values():
        if str(value).isdecimal() and int(str(value)[:20]) > BIGGEST_ID:
            raise NotFound("There is no page at this address.")


def _came_from_our_page(visit: Visit) -> None:
    cookie = cookies.read(visit.request, FORM_COOKIE)
    wanted = visit.visitor.form_token if visit.visitor else cookie
    carried = visit.typed.raw("form_token")
    if not wanted or not is_token(carried, wanted):
        if visit.visitor is None and cookies.read(visit.request, COOKIE):
            raise NotSignedIn("You were signed out in the meantime. Sign in again and repeat it.")
        raise NotAllowed("This form is too old or came from another site. Load the page again and repeat it.")
