"""The applications over a test's shop, by the name that a test's client calls.

Each call gives applications with a state of their own (shop, limits). Tests of a real server make
theirs as the command line does.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import api.app
import web.app
from api.hosts import Called
from kb.desk.context import RunningShop
from tests.as_described import Promises
from web.app import SideBySide


def pages_over(shop: RunningShop) -> SideBySide:
    """As `web.app.make(shop)`."""
    return web.app.make(shop, Called(frozenset({"testserver"})))


def interface_over(shop: RunningShop) -> Any:
    """As `api.app.make(shop)`."""
    return pages_over(shop).interface


@cache
def promises() -> Promises:
    """What the interface says of itself; described once a process."""
    return Promises(api.app.routes().openapi())
