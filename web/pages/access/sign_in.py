"""Coming in and going out: sign-in, first run, the demo's one-click sign-in."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from api import security
from api.security import COOKIE, limit_anonymous, take_cookie
from kb.desk.access import accounts, sessions, sign_ins
from kb.desk.context import CONSOLE
from kb.errors import KbError, NotAllowed, NotSignedIn, TooMany
from web.going import ours
from web.visits import Anybody, Visit

router = APIRouter()

DEMO_PEOPLE = (
    ("tech", "Technician", "at the vehicle: search, findings, reflash or not"),
    ("lead", "Lead technician", "at the desk: notes, checks, imports"),
    ("owner", "Owner", "once a week: what cures, what costs"),
)


@router.get("/sign-in")
def show_sign_in(visit: Anybody, next: str = "/") -> Response:  # noqa: A002  # the name in the address
    with visit.reading() as desk:
        if sign_ins.first_run_open(desk):
            return visit.go("/first-run")
    return _sign_in_page(visit, ours(next))


@router.post("/sign-in")
def sign_in(visit: Anybody) -> Response:
    typed = visit.typed
    try:
        signed_in = security.sign_in(visit.shop, visit.request, typed.text("name"), typed.raw("password"))
    except NotSignedIn as refused:
        return _sign_in_page(visit, ours(typed.raw("next")), status=401, refused=refused)
    except TooMany as refused:
        return _sign_in_page(visit, ours(typed.raw("next")), status=429, refused=refused)
    return visit.let_in(signed_in, ours(typed.raw("next")))


@router.post("/sign-in/demo")
def sign_in_demo(visit: Anybody) -> Response:
    try:
        with visit.writing() as desk:
            device = security.device_of(desk, visit.request)
            signed_in = sign_ins.sign_in_demo(desk, visit.typed.text("name"), device)
    except NotAllowed as refused:
        return _sign_in_page(visit, ours(visit.typed.raw("next")), status=403, refused=refused)
    return visit.let_in(signed_in, ours(visit.typed.raw("next")))


@router.post("/sign-out")
def sign_out(visit: Anybody) -> Response:
    with visit.writing() as desk:
        sessions.sign_out(desk, visit.request.cookies.get(COOKIE, ""))
    response = visit.go("/sign-in", next=ours(visit.typed.raw("next"), "/"))
    take_cookie(response)
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
        with visit.writing() as desk:
            signed_in = sign_ins.set_up_first_owner(
                desk,
                typed.text("name"),
                typed.text("display_name"),
                typed.raw("password"),
                code=typed.text("code"),
                cured_in_10=typed.text("prior_cured_in_10"),
                device=security.device_of(desk, visit.request),
            )
    except KbError as refused:
        return visit.page("first_run.html", status=422, typed=typed, refused=refused)
    return visit.let_in(signed_in, "/")


def _sign_in_page(visit: Visit, path: str, status: int = 200, refused: KbError | None = None) -> Response:
    return visit.page(
        "sign_in.html",
        status=status,
        next=path,
        one_click=_one_click(visit),
        refused=refused,
    )


def _one_click(visit: Visit) -> tuple[tuple[str, str, str], ...]:
    """The demo's people, while they have no passwords (on another host than loopback they do)."""
    if not visit.shop.facts.is_demo:
        return ()
    with visit.shop.reading(CONSOLE) as desk:
        free = {user.name for user in accounts.list_users(desk) if not user.has_password}
    return tuple(one for one in DEMO_PEOPLE if one[0] in free)
