"""Every error in one shape: {"error": {"code", "message", "fields"?, "details"?}}."""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from http import HTTPStatus
from typing import Any

from fastapi import FastAPI, Request, Response
from fastapi.encoders import jsonable_encoder
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from sqlalchemy.exc import OperationalError
from starlette.exceptions import HTTPException

from api.request_log import number_of
from kb.errors import (
    BadInput,
    Conflict,
    KbError,
    NotAllowed,
    NotDone,
    NotFound,
    NotReady,
    NotSignedIn,
    TooMany,
    Unreadable,
)
from kb.nouns.shop.disk_trouble import of_os_error

_log = logging.getLogger("beforeflash")

_STATUS: dict[type[KbError], int] = {
    BadInput: 422,
    Unreadable: 422,
    NotDone: 507,
    NotFound: 404,
    Conflict: 409,
    NotAllowed: 403,
    NotSignedIn: 401,
    TooMany: 429,
    NotReady: 503,
}
_HTTP_CODES = {401: "not_signed_in", 403: "not_allowed", 404: "not_found", 413: "too_large", 422: "bad_input"}


@dataclass(frozen=True, slots=True)
class Problem:
    """An error as a caller sees it."""

    status: int
    code: str
    message: str
    fields: Mapping[str, str] = field(default_factory=dict)
    details: Mapping[str, Any] = field(default_factory=dict)
    headers: Mapping[str, str] = field(default_factory=dict)

    def body(self) -> dict[str, Any]:
        inner: dict[str, Any] = {"code": self.code, "message": self.message}
        if self.fields:
            inner["fields"] = dict(self.fields)
        if self.details:
            inner["details"] = jsonable_encoder(self.details)
        return {"error": inner}


def install(app: FastAPI) -> None:
    """Answer every error of the application, the framework's own included, in the one shape."""
    app.add_exception_handler(KbError, _answer(of_kb_error))
    app.add_exception_handler(HTTPException, _answer(of_http_error))
    app.add_exception_handler(RequestValidationError, _answer(of_bad_request))
    app.add_exception_handler(OperationalError, _answer(of_busy_database))
    app.add_exception_handler(OSError, _answer(of_system))
    app.add_exception_handler(Exception, _answer(of_accident))


def of_kb_error(error: Exception) -> Problem:
    assert isinstance(error, KbError)  # noqa: S101  # the handler is registered for this class
    status = next((code for kind, code in _STATUS.items() if isinstance(error, kind)), 400)
    headers = {"WWW-Authenticate": "Bearer"} if status == 401 else {}
    if status in (429, 503):
        headers["Retry-After"] = str(error.details.get("retry_after", 60))
    return Problem(status, error.code, error.message, error.fields, error.details, headers)


def of_http_error(error: Exception) -> Problem:
    assert isinstance(error, HTTPException)  # noqa: S101  # as above
    if error.status_code == 400:  # raised by the framework alone, where it cannot take the body apart
        return Problem(422, "bad_input", _NOT_TAKEN_APART, {"body": "cannot be read"})
    phrase = HTTPStatus(error.status_code).phrase
    code = _HTTP_CODES.get(error.status_code, phrase.lower().replace(" ", "_"))
    message = error.detail if error.detail != phrase else _SENTENCES.get(error.status_code, f"{phrase}.")
    return Problem(error.status_code, code, message, headers=error.headers or {})


def of_bad_request(error: Exception) -> Problem:
    assert isinstance(error, RequestValidationError)  # noqa: S101  # as above
    fields: dict[str, str] = {}
    for item in error.errors():
        fields.setdefault(_place(item), str(item["msg"]))
    named = ", ".join(list(fields)[:5])
    return Problem(422, "bad_input", f"The request cannot be taken as it stands: {named}.", fields)


def of_busy_database(error: Exception) -> Problem:
    _log.warning("the database did not answer", exc_info=error)
    message = "The shop's database is busy or cannot be reached. Nothing was saved; try again in a moment."
    return Problem(503, "busy", message, headers={"Retry-After": "5"})


def of_system(error: Exception) -> Problem:
    trouble = of_os_error(error)
    return of_kb_error(trouble) if trouble else of_accident(error)


def _place(item: Mapping[str, Any]) -> str:
    inside = [str(part) for part in item["loc"][1:]]
    return "body" if item["type"] == "json_invalid" or not inside else ".".join(inside)


def of_accident(error: Exception) -> Problem:
    _log.error("a request failed", exc_info=error)
    return Problem(500, "server_error", "The fault is ours and is in the server's log; nothing was saved.")


_NOT_TAKEN_APART = (
    "What was sent cannot be read. Send JSON in UTF-8, or a file as multipart/form-data with its boundary; "
    "nothing was saved."
)
_SENTENCES = {
    404: "There is nothing at this address.",
    405: "This address does not take that method.",
    413: "That is too large to send here.",
}


def _numbered(problem: Problem, number: str) -> Problem:
    """A fault of ours names its line in the log."""
    if problem.status != 500 or not number:
        return problem
    return replace(problem, details={**problem.details, "request": number})


def _answer(problem_of: Callable[[Exception], Problem]) -> Callable[[Request, Exception], Response]:
    def answer(request: Request, error: Exception) -> Response:
        problem = _numbered(problem_of(error), number_of(request.scope))
        headers = dict(problem.headers)
        if problem.status == 405:
            headers["Allow"] = ", ".join(sorted(request.app.addresses.methods_at(request.url.path)))
        return JSONResponse(problem.body(), problem.status, headers=headers)

    return answer
