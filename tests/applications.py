"""The applications over a test's shop. Routes are built once a process: that takes longer than most tests.

Each call gives applications with a state of their own (shop, limits). Tests of a real server make
theirs as the command line does.
"""

from __future__ import annotations

import copy
from typing import Any

from fastapi import FastAPI
from starlette.datastructures import State

import web.app
from api.hosts import Called
from api.rate_limits import Limits
from kb.desk.context import RunningShop
from tests.as_described import Promises
from web.app import SideBySide

_made: list[Any] = []
_described: list[Promises] = []


def pages_over(shop: RunningShop) -> SideBySide:
    """As `web.app.make(shop)`."""
    if not _made:
        _made.append(web.app.make(shop, Called(frozenset({"testserver"}))))
    pages, limits = _made[0].pages, Limits()
    ours = _again(pages, shop=shop, limits=limits, env=pages.state.env)
    return SideBySide(ours, _again(_made[0].interface, shop=shop, limits=limits), "/api")


def interface_over(shop: RunningShop) -> Any:
    """As `api.app.make(shop)`."""
    return pages_over(shop).interface


def promises() -> Promises:
    """What the interface says of itself; described once a process."""
    if not _described:
        _described.append(Promises(_made[0].interface.openapi()))
    return _described[0]


def _again(app: FastAPI, **state: Any) -> FastAPI:
    twin = copy.copy(app)
    twin.state, twin.middleware_stack = State(state), None
    return twin
