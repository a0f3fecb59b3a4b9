"""For whom a route is, told by the use cases that it names: the permission stands at the use case alone.

Asked before anything that was sent is looked at, so that nobody without the right learns what would be wrong
with it. The use case asks once more.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterator
from functools import cache
from types import CodeType, FunctionType, ModuleType
from typing import Any, TypeVar

from fastapi import FastAPI
from fastapi.routing import iter_route_contexts

from kb.desk.context import EVERYBODY

Route = Callable[..., Any]
Named = TypeVar("Named", bound=Route)
_OUR_ROOMS = ("kb.desk.", "api.", "web.")


def decided_by(use_case: Route) -> Callable[[Named], Named]:
    """Of a route that does different things for different people: this one says who may come in."""

    def mark(route: Named) -> Named:
        route.lets_in = use_case.allowed_roles  # type: ignore[attr-defined]  # read below
        return route

    return mark


@cache
def roles_of(route: Route) -> frozenset[str]:
    """The roles that may use everything the route names; without a use case, everybody of the shop."""
    said: frozenset[str] | None = getattr(route, "lets_in", None)
    if said is not None:
        return said
    inside = inspect.unwrap(route)
    named = [one.allowed_roles for one in _use_cases(inside, set()) if one.allowed_roles is not None]
    return frozenset.intersection(EVERYBODY, *named)


def settle(app: FastAPI) -> None:
    """Ask it of every route, before the first request and of the program as it was written."""
    for route in iter_route_contexts(app.routes):
        if route.endpoint is not None:
            roles_of(route.endpoint)


def _use_cases(route: Route, seen: set[Route]) -> Iterator[Any]:
    """Those that a function names, itself or by the functions of ours that it names."""
    if not isinstance(route, FunctionType) or route in seen:
        return
    seen.add(route)
    for one in _named_by(route):
        if isinstance(one, FunctionType) and hasattr(one, "allowed_roles"):
            yield one
        elif getattr(one, "__module__", "").startswith(_OUR_ROOMS):
            yield from _use_cases(one, seen)


def _named_by(route: FunctionType) -> Iterator[Any]:
    names = {name for code in _codes(route.__code__) for name in code.co_names}
    for name in names & route.__globals__.keys():
        found = route.__globals__[name]
        if isinstance(found, ModuleType):
            yield from (vars(found)[inside] for inside in names & vars(found).keys())
        else:
            yield found


def _codes(code: CodeType) -> Iterator[CodeType]:
    yield code
    for one in code.co_consts:
        if isinstance(one, CodeType):
            yield from _codes(one)
