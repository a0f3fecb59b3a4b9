"""What goes wrong, as a page that says what to do and gives back what was typed."""

from __future__ import annotations

import logging
from urllib.parse import urlencode

from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from sqlalchemy.exc import OperationalError
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from api.request_log import number_of
from kb.desk.sent_once import SentBefore
from kb.errors import KbError, NotSignedIn, PasswordIsGiven
from kb.nouns.shop.disk_trouble import of_os_error
from web.forms import NOTHING_TYPED, TYPED, form_of
from web.going import Elsewhere, gone
from web.visits import Visit

_log = logging.getLogger("beforeflash")

_STATUS = {
    "bad_input": 422,
    "not_found": 404,
    "conflict": 409,
    "not_allowed": 403,
    "not_signed_in": 401,
    "unreadable": 422,
    "not_done": 507,
    "too_many": 429,
    "not_ready": 503,
}
_HEADINGS = {
    401: "Please sign in",
    403: "Not allowed",
    404: "Nothing here",
    405: "That does not work here",
    409: "Somebody else saved first",
    413: "Too much at once",
    422: "That cannot be taken as it stands",
    429: "Too many tries",
    500: "Something broke",
    503: "Busy",
    507: "Not done",
}


def add_refusals(app: FastAPI) -> None:
    """Make `app` answer every error with a page."""
    app.add_exception_handler(KbError, _kb_error)
    app.add_exception_handler(RequestValidationError, _bad_address)
    app.add_exception_handler(HTTPException, _http_error)
    app.add_exception_handler(OperationalError, _busy)
    app.add_exception_handler(OSError, _system)
    app.add_exception_handler(SentBefore, _sent_before)
    app.add_exception_handler(Exception, _broken)


async def _kb_error(request: Request, error: Exception) -> Response:
    assert isinstance(error, KbError)  # noqa: S101  # Starlette's handler type is wider than the registration
    if isinstance(error, NotSignedIn) and request.method == "GET":
        here = request.url.path + (f"?{request.url.query}" if request.url.query else "")
        return RedirectResponse(f"/sign-in?{urlencode({'next': here})}", status_code=303)
    if isinstance(error, PasswordIsGiven) and request.method == "GET":
        return RedirectResponse("/me/password", status_code=303)
    return await _page(request, _STATUS.get(error.code, 400), error.message)


async def _sent_before(request: Request, error: Exception) -> Response:
    assert isinstance(error, SentBefore)  # noqa: S101  # Starlette's handler type is wider than the registration
    there = Elsewhere.of(error.answer.body)
    return gone(request, there) if there else await _page(request, 409, "This was saved already.")


async def _bad_address(request: Request, error: Exception) -> Response:
    return await _page(request, 404, "There is no page at this address.")


async def _http_error(request: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 500
    sentences = {
        404: "There is no page at this address.",
        405: "Open this page by its link, not by its form.",
    }
    return await _page(request, status, sentences.get(status, "The request could not be taken."))


async def _busy(request: Request, error: Exception) -> Response:
    """A database that somebody else holds is busy; any other trouble with it is our fault."""
    if "locked" not in str(error):
        return await _broken(request, error)
    return await _page(request, 503, "Somebody else is writing just now. Try again in a moment.")


async def _system(request: Request, error: Exception) -> Response:
    trouble = of_os_error(error)
    return await (_broken(request, error) if trouble is None else _kb_error(request, trouble))


async def _broken(request: Request, error: Exception) -> Response:
    _log.error("a page failed", exc_info=error)
    request.scope.setdefault(TYPED, NOTHING_TYPED)  # a form that was the trouble is not read again
    return await _page(request, 500, "The fault is ours and is in the log. What was saved before is safe.")


async def _page(request: Request, status: int, message: str) -> Response:
    """Nobody's visit: an error page must not fail on what the error was about."""
    typed = await form_of(request)
    await request.close()
    visit = Visit(request, request.app.state.shop, request.app.state.env, typed)
    return visit.page(
        "error.html",
        status=status,
        heading=_HEADINGS.get(status, "That did not work"),
        message=message,
        number=number_of(request.scope) if status == 500 else "",
        lost=typed.worth_keeping(),
        back=request.url.path if request.method == "GET" and status not in {404, 405} else "",
    )
