"""Coming in and going out: sign-in, first run, the demo's one-click sign-in."""

from __future__ import annotations

import math
from typing import Annotated

from fastapi import APIRouter, Query
from starlette.responses import Response

from api import security
from api.connection import cookies
from api.security import COOKIE, limit_anonymous, take_cookie
from kb.desk.access import accounts, passwords, sessions, shared_devices, sign_ins, waits
from kb.desk.context import CONSOLE
from kb.errors import KbError, NotAllowed, NotSignedIn, TooMany
from web.going import ours
from web.pages.access import who
from web.visits import Anybody, Visit

router = APIRouter()

Epoch = Annotated[int, Query(ge=0, lt=10**11)]
"""Seconds since 1970."""
_LOOKS_AGAIN = 5
"""Seconds after which a page that counts down without a script asks again."""
DEMO_PEOPLE = (
    ("tech", "Technician", "at the vehicle: search, findings, reflash or not"),
    ("lead", "Lead technician", "at the desk: notes, checks, imports"),
    ("owner", "Owner", "once a week: what cures, what costs"),
)


@router.get("/sign-in")
def show_sign_in(visit: Anybody, next: str = "/", until: Epoch = 0) -> Response:  # noqa: A002  # in the address
    """`until`: when whoever gave wrong passwords may try again; the page counts down to it."""
    with visit.reading() as desk:
        if sign_ins.first_run_open(desk):
            return visit.go("/first-run")
    if visit.request.query_params.get("with") != "password" and who.tiles_here(visit):
        return visit.go("/who", next=ours(next))
    return _sign_in_page(visit, ours(next), until=until)


@router.post("/sign-in")
def sign_in(visit: Anybody) -> Response:
    typed = visit.typed
    try:
        signed_in = security.sign_in(visit.shop, visit.request, typed.text("name"), typed.raw("password"))
    except (NotSignedIn, TooMany) as refused:
        wait = refused.details.get("retry_after", 0)
        until = math.ceil(visit.shop.clock().timestamp()) + wait if wait else 0
        return _sign_in_page(visit, ours(typed.raw("next")), refused=refused, until=until)
    return visit.let_in(signed_in, ours(typed.raw("next")))


@router.post("/sign-in/demo")
def sign_in_demo(visit: Anybody) -> Response:
    try:
        if not security.asked_from_this_machine(visit.request):
            raise NotAllowed("One-click sign-in is for a browser on the demo's own machine. Use a password.")
        with visit.writing() as desk:
            device = security.device_of(desk, visit.request)
            signed_in = sign_ins.sign_in_demo(desk, visit.typed.text("name"), device)
    except NotAllowed as refused:
        return _sign_in_page(visit, ours(visit.typed.raw("next")), refused=refused)
    return visit.let_in(signed_in, ours(visit.typed.raw("next")))


@router.post("/sign-out")
def sign_out(visit: Anybody) -> Response:
    """The session ends; on a shared device where they were is kept for when they are back."""
    there = ours(visit.typed.raw("next"))
    with visit.writing() as desk:
        if visit.visitor is not None:
            shared_devices.leave(desk, there, visit.typed.text("title"))
        sessions.sign_out(desk, cookies.read(visit.request, COOKIE))
    response = visit.go("/sign-in", next=there)
    take_cookie(visit.request, response)
    return response


@router.get("/first-run")
def show_first_run(visit: Anybody) -> Response:
    with visit.reading() as desk:
        if not sign_ins.first_run_open(desk):
            return visit.go("/sign-in")
    return visit.page("first_run.html")


@router.post("/first-run")
def set_up(visit: Anybody) -> Response:
    typed = visit.typed
    try:
        limit_anonymous(visit.request)
        name, display_name = typed.text("name"), typed.text("display_name")
        password = passwords.chosen(typed.raw("password"), name, display_name)
        with visit.writing() as desk:
            signed_in = sign_ins.set_up_first_owner(
                desk,
                name,
                display_name,
                password,
                code=typed.text("code"),
                cured_in_10=typed.text("prior_cured_in_10"),
                device=security.device_of(desk, visit.request),
            )
    except KbError as refused:
        return visit.page("first_run.html", typed=typed, refused=refused)
    return visit.let_in(signed_in, "/")


def _sign_in_page(visit: Visit, path: str, refused: KbError | None = None, until: int = 0) -> Response:
    left = math.ceil(until - visit.shop.clock().timestamp())
    return visit.page(
        "sign_in.html",
        next=path,
        one_click=_one_click(visit),
        in_the_open=security.is_in_the_open(visit.request),
        refused=refused,
        left=left if 0 < left <= waits.LONGEST_WAIT.total_seconds() else 0,
        until=until,
        look_again=min(left, _LOOKS_AGAIN),
        waited=0 < until <= visit.shop.clock().timestamp(),
    )


def _one_click(visit: Visit) -> tuple[tuple[str, str, str], ...]:
    """The demo's people, while they have no passwords (on another host than loopback they do)."""
    if not visit.shop.facts.is_demo or not security.asked_from_this_machine(visit.request):
        return ()
    with visit.shop.reading(CONSOLE) as desk:
        free = {user.name for user in accounts.list_users(desk) if not user.has_password}
    return tuple(one for one in DEMO_PEOPLE if one[0] in free)
