"""The pages as an application, beside the JSON interface under /api."""

from __future__ import annotations

from functools import cache

from fastapi import Depends
from starlette.routing import Route
from starlette.types import ASGIApp, Receive, Scope, Send

import api.app
from api.hosts import Called
from api.middleware import Guarded, around
from api.settings import from_environment
from api.who_may import settle
from kb.desk.context import RunningShop
from web.pages import OPEN_ROUTERS, ROUTERS
from web.refusals import add_refusals
from web.rendering import environment
from web.static_files import StaticFiles
from web.visits import somebody


def make(shop: RunningShop | None = None, called: Called | None = None) -> SideBySide:
    """Pages and interface over `shop`, called as `called` says; else what the environment says."""
    called = called or from_environment().called
    interface = api.app.make(shop, called)
    of_both = {"shop": interface.state.shop, "limits": interface.state.limits}
    pages = routes().over(called, env=routes().state.env, **of_both)
    return SideBySide(pages, interface, "/api")


@cache
def routes() -> Guarded:
    """The pages over no shop yet. Every router needs a signed-in person, save those of OPEN_ROUTERS."""
    static = StaticFiles()
    app = Guarded(title="Beforeflash pages", openapi_url=None, docs_url=None, redoc_url=None)
    app.state.env = environment(static.url)
    app.router.routes.append(Route("/static/{mark}/{name}", static.serve))
    for router in OPEN_ROUTERS:
        app.include_router(router)
    for router in ROUTERS:
        app.include_router(router, dependencies=[Depends(somebody)])
    settle(app)
    add_refusals(app)
    around(app)
    return app


class SideBySide:
    """One application of two: paths under `prefix` go to `interface`, all others to `pages`."""

    def __init__(self, pages: ASGIApp, interface: ASGIApp, prefix: str) -> None:
        self.pages, self.interface, self.prefix = pages, interface, prefix

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        path: str = scope.get("path", "")
        under = scope["type"] == "lifespan" or path == self.prefix or path.startswith(f"{self.prefix}/")
        await (self.interface if under else self.pages)(scope, receive, send)


__all__ = ["make", "routes"]
