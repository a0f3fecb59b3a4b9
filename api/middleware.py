"""ASGI middleware around every answer: who was meant, browsers' headers, a limit to what is sent, a number
for the log, and fewer bytes over the shop's network.
"""

from __future__ import annotations

import copy
from collections.abc import Collection
from typing import Any, Self

from fastapi import FastAPI
from starlette.datastructures import URL, Headers, MutableHeaders, State
from starlette.exceptions import HTTPException
from starlette.middleware.gzip import DEFAULT_EXCLUDED_CONTENT_TYPES, GZipMiddleware
from starlette.responses import JSONResponse, PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.connection.addresses import is_loopback
from api.connection.https_only import OnlyHttps
from api.connection.proxies import BehindProxies
from api.connection.safe_headers import SAFE_HEADERS
from api.hosts import Called, is_known
from api.request_log import Numbered, at_the_head

JSON_BYTES = 2_000_000
FILE_BYTES = 300_000_000

_REMEMBERED = "max-age=31536000; includeSubDomains"
"""A year, as OWASP ASVS 5.0.0 asks (V3.4.1). Browsers ignore it of addresses in figures (RFC 6797, 8.1.1)."""
_FORGOTTEN = "max-age=0"
"""RFC 6797, 6.1.1: for a shop that went back from HTTPS alone and still has HTTPS of its own."""
_TWO_LENGTHS = {"error": {"code": "bad_input", "message": "The request says in two ways how long it is."}}
_TOO_LARGE = {"error": {"code": "too_large", "message": "That is too large to send here."}}
_PACKED_ALREADY = (*DEFAULT_EXCLUDED_CONTENT_TYPES, "application/octet-stream", "application/pdf")
_WORTH_PACKING = 1000  # bytes; below that a packet of the network holds it anyway
_QUICK = 5  # gzip's levels above take twice as long for a few hundredths less


class Guarded(FastAPI):
    """An application with what stands around every answer, also around that of a fault: Starlette answers
    faults outside of what `add_middleware` puts on.
    """

    called = Called()

    def over(self, called: Called, **state: Any) -> Self:
        """The same routes, called as `called` says and with a state of their own: routes are put together
        once, where processes are divided before they are, and take longer than all else of a worker's start.
        """
        twin = copy.copy(self)
        twin.called, twin.middleware_stack = called, None
        twin.state = State(state)
        return twin

    def build_middleware_stack(self) -> ASGIApp:
        """The last is the outermost."""
        inner = super().build_middleware_stack()
        let_in = OnlyHttps(inner) if self.called.https_only else inner
        known = KnownHosts(let_in, self.called.names)
        return BehindProxies(Numbered(SafeHeaders(known, _of_https(self.called))), self.called.proxies)


def around(app: Guarded) -> None:
    """Put around an application what bounds and packs its bodies."""
    app.add_middleware(BodyLimit)
    app.add_middleware(
        GZipMiddleware,
        minimum_size=_WORTH_PACKING,
        compresslevel=_QUICK,
        exclude_content_types=_PACKED_ALREADY,
    )


_OTHER_HOST = (
    "This server does not go by that name. Use the address that it printed when it was started, or have "
    "whoever runs it put the name into BEFOREFLASH_HOSTS."
)


class KnownHosts:
    """Only what is sent to a name of ours is answered (`api/hosts.py`); anything else is 400."""

    def __init__(self, app: ASGIApp, names: Collection[str]) -> None:
        self._app, self._names = app, names

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http" or is_known(Headers(scope=scope).get("host", ""), self._names):
            await self._app(scope, receive, send)
            return
        error = {"error": {"code": "unknown_host", "message": _OTHER_HOST}}
        is_call = scope["path"].startswith("/api/")
        answer = JSONResponse(error, 400) if is_call else PlainTextResponse(f"{_OTHER_HOST}\n", 400)
        await answer(scope, receive, send)


class SafeHeaders:
    """Those of every answer; answers of the API are not kept.

    `of_https`: what browsers are told of HTTPS where they came by it. Not for this computer's own name, which
    is that of every program on it.
    """

    def __init__(self, app: ASGIApp, of_https: str) -> None:
        self._app, self._of_https = app, of_https

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return

        def made_safe(head: Message) -> None:
            headers = MutableHeaders(scope=head)
            for name, value in SAFE_HEADERS.items():
                headers.setdefault(name, value)
            if scope["path"].startswith("/api/"):
                headers.setdefault("Cache-Control", "no-store")
            if self._of_https and scope["scheme"] == "https" and not _is_asked_as_loopback(scope):
                headers.setdefault("Strict-Transport-Security", self._of_https)

        await self._app(scope, receive, at_the_head(send, made_safe))


def _of_https(called: Called) -> str:
    """Empty behind a proxy: it may tell browsers itself."""
    if called.https_only:
        return _REMEMBERED
    return _FORGOTTEN if called.https and not called.proxies else ""


def _is_asked_as_loopback(scope: Scope) -> bool:
    return is_loopback(URL(scope=scope).hostname or "")


class BodyLimit:
    """2 MB, or 300 MB where files come in; refused at the promise already, and cut off when it is broken.

    Who says in two ways where a request ends is answered nothing more on that connection (RFC 9112, 6.1).
    """

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        if "content-length" in headers and "transfer-encoding" in headers:
            await JSONResponse(_TWO_LENGTHS, 400, {"Connection": "close"})(scope, receive, send)
            return
        is_file = headers.get("content-type", "").startswith("multipart/form-data")
        most = FILE_BYTES if is_file else JSON_BYTES
        promised = headers.get("content-length", "0")
        if not promised.isdecimal() or int(promised) > most:
            await JSONResponse(_TOO_LARGE, 413)(scope, receive, send)
            return
        received = 0

        async def counted_receive() -> Message:
            nonlocal received
            message = await receive()
            received += len(message.get("body", b""))
            if received > most:
                raise HTTPException(413)
            return message

        await self._app(scope, counted_receive, send)
