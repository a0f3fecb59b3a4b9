"""Where a browser goes after a form, what is said there once, and where it may be sent at all."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from datetime import timedelta
from urllib.parse import quote, urlsplit

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from api.connection import cookies

SAID_COOKIE = "beforeflash_said"
SEE_OTHER = 303
_SENT_BY = "X-Requested-With"
_GO_TO = "Go-To"


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """An address of ours, with a sentence to be said there once."""

    address: str
    said: str = ""

    def kept(self) -> str:
        """As text, to be kept with what was saved."""
        return json.dumps(asdict(self))

    @classmethod
    def of(cls, kept: str) -> Elsewhere | None:
        """None for an answer that was no address."""
        return cls(**json.loads(kept)) if kept else None


def gone(request: Request, there: Elsewhere) -> Response:
    """A redirect. The form's own script (forms.js) is told the address and goes there by itself: a redirect
    that it followed would say the sentence to nobody.
    """
    response: Response = RedirectResponse(there.address, status_code=SEE_OTHER)
    if request.headers.get(_SENT_BY) == "kept":
        response = Response(status_code=204, headers={_GO_TO: response.headers["location"]})
    if there.said:
        cookies.give(request, response, SAID_COOKIE, quote(there.said), timedelta(minutes=1))
    return response


def ours(path: str, otherwise: str = "/") -> str:
    """The path if it stays on this site, else `otherwise` (an open redirect would help a phisher)."""
    parts = urlsplit(path)
    stays = (
        path.startswith("/") and not path.startswith(("//", "/\\")) and not parts.scheme and not parts.netloc
    )
    return path if stays and "\n" not in path and "\r" not in path else otherwise
