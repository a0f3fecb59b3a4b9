"""Lists that go on: `after` is the id of the last one you have, and the header Link names the next call."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Any, Protocol

from fastapi import Query, Request, Response

from api.schemas.base import BIGGEST_ID

After = Annotated[int | None, Query(ge=1, le=BIGGEST_ID)]
Most = Annotated[int, Query(ge=1, le=1000)]

NEXT: dict[int | str, dict[str, Any]] = {
    200: {
        "headers": {"Link": {"description": "The next call, where more follow", "schema": {"type": "string"}}}
    }
}
"""Of calls that list."""


class HasId(Protocol):
    @property
    def id(self) -> int: ...


def name_next(request: Request, response: Response, found: Sequence[HasId], most: int) -> None:
    """Say where it goes on (RFC 8288) where as many were found as were asked for."""
    if len(found) == most:
        url = request.url.include_query_params(after=found[-1].id)
        response.headers["Link"] = f'<{url.path}?{url.query}>; rel="next"'
