"""ASGI middleware around every answer: headers that browsers enforce, and a limit to what may be sent in."""

from __future__ import annotations

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

JSON_BYTES = 2_000_000
FILE_BYTES = 300_000_000

_HEADERS = {
    "Content-Security-Policy": "default-src 'self'; img-src 'self' data: blob:; object-src 'none'; "
    "base-uri 'none'; form-action 'self'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
}
_TOO_LARGE = {"error": {"code": "too_large", "message": "That is too large to send here."}}


class SafeHeaders:
    """Nothing is loaded from elsewhere, framed elsewhere or run inline; answers of the API are not kept."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return

        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in _HEADERS.items():
                    headers.setdefault(name, value)
                if scope["path"].startswith("/api/"):
                    headers.setdefault("Cache-Control", "no-store")
            await send(message)

        await self._app(scope, receive, send_with_headers)


class BodyLimit:
    """2 MB, or 300 MB where files come in; refused at the promise already, and cut off when it is broken."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        headers = Headers(scope=scope)
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
