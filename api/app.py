"""The JSON interface as an application: everything of it lives under /api."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from functools import cache

from anyio.to_thread import current_default_thread_limiter
from fastapi import FastAPI

from api import errors, logs, settings
from api.commands.workers import end_with_the_server
from api.description import openapi
from api.hosts import Called
from api.middleware import around
from api.rate_limits import Limits
from api.routes import ROUTERS
from api.warm_start import warm_in_background
from api.who_may import settle
from kb.desk.bay.search import kept_index
from kb.desk.context import RunningShop


def make(shop: RunningShop | None = None, called: Called | None = None) -> FastAPI:
    """The interface over `shop`, called as `called` says; else what the environment says of either."""
    called = called or settings.from_environment().called
    return routes().over(called, shop=shop or open_shop(), limits=Limits())


@cache
def routes() -> openapi.Described:
    """The interface over no shop yet."""
    app = openapi.Described(
        title="Beforeflash",
        description=openapi.ABOUT,
        openapi_url=None,
        docs_url=None,
        redoc_url=None,
        lifespan=_at_work,
    )
    for router in ROUTERS:
        app.router.routes.extend(router.routes)
    settle(app)
    errors.install(app)
    around(app)
    return app


@asynccontextmanager
async def _at_work(app: FastAPI) -> AsyncIterator[None]:
    """While it serves: a worker ends with its server, and requests wait for a thread, in their order, since a
    connection is refused to who waits too long for it.
    """
    end_with_the_server()
    current_default_thread_limiter().total_tokens = app.state.shop.most_at_once
    yield


def open_shop() -> RunningShop:
    """The shop of this process: the database that the environment names, made if need be.

    Its search index is made in the background, or taken from the file of one that was made.
    """
    process = settings.from_environment()
    logs.set_up(process.log)
    shop = RunningShop.open(process.shop_url, data_folder=process.data_folder)
    kept_index.share(shop)
    warm_in_background(shop)
    return shop
