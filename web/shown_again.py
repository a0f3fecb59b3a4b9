"""A form that could not be saved is shown again, with what was typed and what was wrong with it."""

from __future__ import annotations

import functools
import inspect
from collections.abc import Callable
from typing import Any

from starlette.responses import Response

from kb.errors import BadInput, Conflict, KbError

Page = Callable[..., Response]


def shown_again(page: Page, *refusals: type[KbError]) -> Callable[[Page], Page]:
    """What is posted answers with `page` where it is refused: BadInput or Conflict, unless others are named.

    The page is handed `refused`, and those of the request's own values (the visit, ids of the address) that
    it takes by name.
    """
    takes = inspect.signature(page).parameters.keys()
    caught = refusals or (BadInput, Conflict)

    def around(post: Page) -> Page:
        @functools.wraps(post)
        def answer(**asked: Any) -> Response:
            try:
                return post(**asked)
            except caught as refused:
                return page(**{name: asked[name] for name in asked if name in takes}, refused=refused)

        return answer

    return around
