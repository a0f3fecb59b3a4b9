"""The OpenAPI description: what the routes say of themselves, and what holds for all of them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from fastapi import FastAPI
from fastapi.routing import APIRoute
from pydantic import BaseModel

from api.schemas.base import ErrorOut
from api.security import COOKIE, FORM_TOKEN_HEADER, SAFE_METHODS

ABOUT = (
    "A shop's own memory for module reprogramming. It advises; the manufacturer's instructions decide. "
    'Every error: {"error": {"code", "message", "fields"?, "details"?}}.'
)

_SCHEMES = {
    "bearer": {
        "type": "http",
        "scheme": "bearer",
        "description": "A token of `beforeflash token NAME`: Authorization: Bearer TOKEN.",
    },
    "cookie": {"type": "apiKey", "in": "cookie", "name": COOKIE, "description": "What a sign-in gives."},
    "form_token": {
        "type": "apiKey",
        "in": "header",
        "name": FORM_TOKEN_HEADER,
        "description": "Of a sign-in by cookie; needed beside the cookie where something is changed.",
    },
}
_TO_READ: list[dict[str, list[str]]] = [{"bearer": []}, {"cookie": []}]
_TO_CHANGE: list[dict[str, list[str]]] = [{"bearer": []}, {"cookie": [], "form_token": []}]


def _error(description: str) -> dict[str, Any]:
    return {"model": ErrorOut, "description": description}


ERRORS: dict[int | str, dict[str, Any]] = {
    401: _error("Nobody is signed in"),
    403: _error("The role may not do this"),
    404: _error("There is nothing of that id or name"),
    422: _error("Something cannot be taken as it stands; `fields` says what"),
    429: _error("Too many calls from somebody unknown; come back after the seconds of Retry-After"),
    503: _error("The database is busy, or a demo is being filled; come back after Retry-After seconds"),
}
"""What any call may be answered with."""

CONFLICT: dict[int | str, dict[str, Any]] = {
    409: _error("It is not as you saw it, or was done already; `details` says how it stands")
}
"""Of calls that change what somebody else may have changed."""


class Described(FastAPI):
    """An application whose description is complete: ways to sign in, and what an answer always holds."""

    def openapi(self) -> dict[str, Any]:
        is_new = self.openapi_schema is None
        told = super().openapi()
        if is_new:
            _say_who_may_call(told)
            _say_what_is_always_there(told)
        return told


def name_of(route: APIRoute) -> str:
    """The operation's id: what its function is called."""
    return route.name


def _say_who_may_call(told: dict[str, Any]) -> None:
    told["components"]["securitySchemes"] = _SCHEMES
    for methods in told["paths"].values():
        for method, call in methods.items():
            needed = _TO_READ if method.upper() in SAFE_METHODS else _TO_CHANGE
            call.setdefault("security", needed)


def _say_what_is_always_there(told: dict[str, Any]) -> None:
    """A frozen value goes out whole, also what it has a default for; a body's own class says so itself."""
    own = {one.__name__ for one in _below(BaseModel)}
    for name, schema in told["components"]["schemas"].items():
        if name not in own and "properties" in schema:
            schema["required"] = list(schema["properties"])


def _below(kind: type[BaseModel]) -> Iterator[type[BaseModel]]:
    for one in kind.__subclasses__():
        yield one
        yield from _below(one)
