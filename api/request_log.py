"""Each request gets a number, which stands in the log, in the answer's header and on the page of a fault."""

from __future__ import annotations

import logging
import secrets
import time
from collections.abc import Callable
from contextvars import ContextVar

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

HEADER = "X-Request-Number"
_KEY = "request_number"
_LETTERS = "23456789BCDFGHJKMNPQRSTVWXYZ"  # none that is taken for another when it is read out
_log = logging.getLogger("beforeflash.requests")

REFUSED = frozenset({400, 403, 413, 429})
"""By the name of the server, by who may or the token of a form, by size, by how often somebody calls."""

current: ContextVar[str] = ContextVar("request_number", default="")


class Numbered:
    """Numbers the requests. At level INFO each leaves a line: method, route, status, milliseconds; at WARNING
    those that were `REFUSED`.

    The route is as the program has it ("/concerns/{concern_id}"), never what was asked: an address may hold
    what somebody typed.
    """

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        number = scope[_KEY] = _new_number()
        current.set(number)
        status, began = 500, time.perf_counter()

        def numbered(head: Message) -> None:
            nonlocal status
            status = head["status"]
            MutableHeaders(scope=head)[HEADER] = number

        try:
            await self._app(scope, receive, at_the_head(send, numbered))
        finally:
            took = round((time.perf_counter() - began) * 1000)
            told = {"method": scope["method"], "route": _route(scope), "status": status, "ms": took}
            if status in REFUSED:
                _log.warning("refused", extra={"told": told})
            else:
                _log.info("answered", extra={"told": told})


def at_the_head(send: Send, do: Callable[[Message], None]) -> Send:
    """`send`, with something done to the status and headers of the answer before they go."""

    async def passed_on(message: Message) -> None:
        if message["type"] == "http.response.start":
            do(message)
        await send(message)

    return passed_on


def number_of(scope: Scope) -> str:
    """Empty where the application runs without `Numbered`."""
    found: str = scope.get(_KEY, "")
    return found


def _route(scope: Scope) -> str:
    """Routes of the interface do not know that they are under /api."""
    path = getattr(scope.get("route"), "path", "") or "none"
    return f"/api{path}" if scope["path"].startswith("/api/") and not path.startswith("/api/") else path


def _new_number() -> str:
    drawn = "".join(secrets.choice(_LETTERS) for _ in range(6))
    return f"{drawn[:3]}-{drawn[3:]}"
