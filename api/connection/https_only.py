"""HTTPS alone, where a shop says so: nothing of it goes over plain HTTP, and browsers are told to remember.

What is refused before the server starts stands here, and what plain HTTP is answered while it runs: a page is
led to HTTPS, so that an old address still works; anything else is refused, since it was read on the way
already and would be sent so each time.
"""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Receive, Scope, Send

from api.connection.addresses import is_loopback, url_of
from api.settings import BadSettings, ProcessSettings
from kb.desk.opening_database import asked_over

_FOR_WATCHERS = ("/healthz", "/readyz")
_ONLY_HTTPS = "Nothing is taken here without encryption. Send it to the address that begins with https."
_PROXY_IS_SILENT = (
    "The proxy in front does not say how it was asked, and would be led here again and again: have it write "
    "X-Forwarded-Proto, and name it in BEFOREFLASH_PROXIES."
)
_UNMOVED = 307


def refuse_what_is_open(process: ProcessSettings, database_url: str) -> None:
    """Raise BadSettings where HTTPS alone is wanted and something would still go unencrypted."""
    if not process.https_only:
        return
    if not process.https and not process.proxies:
        raise BadSettings(
            "HTTPS alone needs HTTPS: add --https (or BEFOREFLASH_HTTPS=yes), or name the proxy on this "
            "computer that gives it in BEFOREFLASH_PROXIES."
        )
    elsewhere = [str(one) for one in process.proxies if not one.is_loopback]
    if elsewhere and not process.https:
        raise BadSettings(
            f"BEFOREFLASH_PROXIES names {', '.join(elsewhere)}, not this computer: what is handed on from "
            "there would go unencrypted. Add --https and let the proxy ask the https port, trusting "
            f"{process.https_folder / 'authority.pem'}; or run it on this computer and name 127.0.0.1."
        )
    database = asked_over(database_url)
    if not database.verified and (others := [one for one in database.hosts if not is_loopback(one)]):
        raise BadSettings(
            f"The database at {', '.join(others)} would be asked without verified encryption. Write "
            "?sslmode=verify-full&sslrootcert=FILE at the end of BEFOREFLASH_DATABASE_URL, FILE being the "
            "certificate of who signed the database server's."
        )


def is_beside_us(scope: Scope) -> bool:
    """Whether who asks is a program of this computer: what goes between never leaves it."""
    client, server = (scope.get(end) or ("", 0) for end in ("client", "server"))
    return is_loopback(client[0]) or (client[0] == server[0] != "")


def answer_without_encryption(request: Request, https_port: int | None = None) -> Response:
    """To the same host's pages under HTTPS, or a refusal."""
    if request.url.path.startswith("/api/"):
        return JSONResponse({"error": {"code": "only_https", "message": _ONLY_HTTPS}}, 403)
    if request.method not in ("GET", "HEAD"):
        return PlainTextResponse(f"{_ONLY_HTTPS}\n", 403)
    if "x-forwarded-for" in request.headers and "x-forwarded-proto" not in request.headers:
        return PlainTextResponse(f"{_PROXY_IS_SILENT}\n", 403)
    query = f"?{request.url.query}" if request.url.query else ""
    path = request.scope.get("raw_path", b"/").decode("ascii", "replace").lstrip("/")
    return RedirectResponse(f"{pages_of_the_same_host(request, https_port)}{path}{query}", _UNMOVED)


def pages_of_the_same_host(request: Request, https_port: int | None) -> str:
    """Under HTTPS, at its own port unless another is named. Which host was meant is known, or it were refused
    before.
    """
    return url_of("https", request.url.hostname or "localhost", https_port)


class OnlyHttps:
    """Lets in what came by HTTPS, and of the rest a watcher on this computer."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        is_open = scope["type"] == "http" and scope["scheme"] == "http"
        if is_open and not (scope["path"] in _FOR_WATCHERS and is_beside_us(scope)):
            await answer_without_encryption(Request(scope))(scope, receive, send)
            return
        await self._app(scope, receive, send)
