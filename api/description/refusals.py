"""How a call may be refused, as the description states it."""

from __future__ import annotations

from typing import Any

from api.schemas.base import ErrorOut

_AS_DESCRIBED = {"application/json": {"schema": {"$ref": f"#/components/schemas/{ErrorOut.__name__}"}}}
"""CONFLICT describes it; one made for every call took a tenth of a second of each start."""


def _error(description: str) -> dict[str, Any]:
    return {"content": _AS_DESCRIBED, "description": description}


ERRORS: dict[int | str, dict[str, Any]] = {
    401: _error("Nobody is signed in"),
    403: _error("The role may not do this"),
    404: _error("There is nothing of that id or name"),
    413: _error("More than may be sent"),
    422: _error("Something cannot be taken as it stands; `fields` says what"),
    429: _error("Too many calls from somebody unknown; come back after the seconds of Retry-After"),
    503: _error("The database is busy, or a demo is being filled; come back after Retry-After seconds"),
}
"""What any call may be answered with."""

CONFLICT: dict[int | str, dict[str, Any]] = {
    409: {
        "model": ErrorOut,
        "description": "It is not as you saw it, or was done already; `details` says how it stands",
    }
}
"""Of calls that change what somebody else may have changed meanwhile."""
