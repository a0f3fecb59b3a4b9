"""Routes that ask who may before they look at what was sent, and that are answered once an Idempotency-Key.

Who calls and whether their role may is settled before the body is read: nobody without the right learns what
would be wrong with it, or has the server take 300 MB. The answer of a call with a key is kept with what it
saved.

As in the draft of the IETF on that header (draft-ietf-httpapi-idempotency-key-header): the same key with the
same request is answered as at first, and with another request it is refused.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Coroutine
from typing import Any, get_type_hints

from fastapi import APIRouter, Depends, HTTPException, Request, Response
from fastapi.concurrency import run_in_threadpool
from fastapi.datastructures import DefaultPlaceholder
from fastapi.routing import APIRoute
from pydantic import TypeAdapter

from api.deps import signed_in
from api.description.refusals import ERRORS
from api.security import Call, let_anybody_in, let_in
from api.what_was_sent import KEY_HEADER
from api.who_may import roles_of
from kb.desk.sent_once import Answer, SentBefore, SentOtherwise
from kb.errors import BadInput, Conflict

_USED = f"This {KEY_HEADER} came before with another request. Give every new request a key of its own."
_NO_ANSWER = "This was taken already; the work went on apart from it. Read it again to see what came of it."

Route = Callable[..., Any]
Told = Callable[[Any], str]
Handler = Callable[[Request], Coroutine[Any, Any, Response]]


class OpenRoute(APIRoute):
    """One for anybody; who is not known is counted."""

    def get_route_handler(self) -> Handler:
        return _after(let_anybody_in, super().get_route_handler())


class GuardedRoute(APIRoute):
    """One for people of the roles that its use cases are for."""

    def get_route_handler(self) -> Handler:
        return _after(self._let_these_in, super().get_route_handler())

    def _let_these_in(self, request: Request) -> None:
        """Asked of the route once its module is whole: what it names may stand below it."""
        let_in(request, roles_of(self.endpoint))


def _name_of(route: APIRoute) -> str:
    """The operation's id: what its function is called."""
    return route.name


class Router(APIRouter):
    """FastAPI's under /api, over routes that are for people signed in, unless they are for anybody, and
    answered once a key.

    It has by itself all that an application would add: what is added later has each route put together anew.
    """

    def __init__(self, *, prefix: str = "", for_anybody: bool = False, **how: Any) -> None:
        super().__init__(
            prefix=f"/api{prefix}",
            route_class=OpenRoute if for_anybody else GuardedRoute,
            dependencies=[] if for_anybody else [Depends(signed_in)],
            responses=ERRORS,
            generate_unique_id_function=_name_of,
            **how,
        )

    def add_api_route(self, path: str, endpoint: Route, **how: Any) -> None:
        status = how.get("status_code") or 200
        super().add_api_route(path, _answered_once(endpoint, status, _as_json(endpoint, how)), **how)


def _after(ask: Callable[[Request], None], answer: Handler) -> Handler:
    async def handler(request: Request) -> Response:
        if not request.app.addresses.is_taken(request.method, request.url.path):
            raise HTTPException(405)
        await run_in_threadpool(ask, request)
        return await answer(request)

    return handler


def _answered_once(endpoint: Route, status: int, told: Told) -> Route:
    @functools.wraps(endpoint)
    def answer(**asked: Any) -> Any:
        call = asked.get("call")
        if not isinstance(call, Call) or call.sending is None:
            return endpoint(**asked)
        try:
            with call.sending:
                with call.reading() as desk:
                    call.sending.refuse_again(desk)
                value = endpoint(**asked)
                call.sending.answered(status, told(value))
        except SentBefore as before:
            return _again(before.answer)
        except SentOtherwise:
            raise BadInput(_USED, fields={KEY_HEADER: "used already"}) from None
        return value

    return answer


def _again(answer: Answer) -> Response:
    if not answer.status:
        raise Conflict(_NO_ANSWER)
    return Response(
        answer.body or None, answer.status, media_type="application/json" if answer.body else None
    )


def _as_json(endpoint: Route, how: dict[str, Any]) -> Told:
    """What the framework makes of a route's value."""
    model = how.get("response_model")
    is_by_hint = model is None or isinstance(model, DefaultPlaceholder)
    unset = bool(how.get("response_model_exclude_unset"))

    @functools.cache
    def adapter() -> TypeAdapter[Any]:
        kind: Any = get_type_hints(endpoint)["return"] if is_by_hint else model
        return TypeAdapter(kind)

    def told(value: Any) -> str:
        if value is None:
            return ""
        checked = adapter().validate_python(value, from_attributes=True)
        return adapter().dump_json(checked, by_alias=True, exclude_unset=unset).decode()

    return told
