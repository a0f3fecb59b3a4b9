"""Cookies that no script reads. Under HTTPS each is Secure and has a name that begins with `__Host-`.

A browser takes such a name only over HTTPS, for this host alone and for every path (RFC 6265bis, 4.1.3), so
that neither a page over plain HTTP nor another name of the network can put a cookie in its place. Ports do
not part cookies; these names do.
"""

from __future__ import annotations

from datetime import timedelta

from starlette.requests import Request
from starlette.responses import Response


def called(request: Request, name: str) -> str:
    """What the cookie of that name is called on this connection."""
    return f"__Host-{name}" if _is_https(request) else name


def read(request: Request, name: str) -> str:
    """Empty where there is none."""
    return request.cookies.get(called(request, name), "")


def give(request: Request, response: Response, name: str, value: str, lasts: timedelta | None = None) -> None:
    """Until the browser is closed unless told how long it lasts."""
    response.set_cookie(
        called(request, name),
        value,
        max_age=int(lasts.total_seconds()) if lasts else None,
        httponly=True,
        samesite="lax",
        secure=_is_https(request),
    )


def take(request: Request, response: Response, name: str) -> None:
    """With the marks it was given with: one named `__Host-` is not taken back without."""
    response.delete_cookie(called(request, name), httponly=True, samesite="lax", secure=_is_https(request))


def _is_https(request: Request) -> bool:
    return request.url.scheme == "https"
