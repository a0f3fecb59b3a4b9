"""Shops to test against: SQLite and a real PostgreSQL, each test on a fresh copy of a migrated database.

The clock stands still at NOON (UTC) unless a test moves it, so no test depends on the day it runs.
"""

from __future__ import annotations

import gc
import os
import shutil
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from anyio.from_thread import BlockingPortal, start_blocking_portal
from hypothesis import HealthCheck, settings
from sqlalchemy import Engine, event
from starlette.testclient import TestClient

from kb.desk.access import secrets
from kb.desk.context import RunningShop
from kb.desk.shop_facts import ShopFacts
from kb.records.engine import Records, open_engine
from tests import postgres
from tests.applications import interface_over, promises
from tests.as_described import hold
from tests.factories import headers_of

# What is loaded stays: looking for what may go of it would take a third of the collection of the tests.
gc.disable()

REAL_COST = secrets.cost
_MOST_WORKERS = 8
_OBJECTS_BETWEEN_LOOKS = 50_000
NOON = datetime(2026, 10, 31, 16, 0, tzinfo=UTC)

# A busy machine is no failure, and the whole suite has ten minutes.
settings.register_profile(
    "patient", max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("patient")


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """A worker for each processor; none for single files, which are done before workers have started."""
    if any(".py" in asked for asked in config.args):
        return 0
    return min(len(os.sched_getaffinity(0)), _MOST_WORKERS)


def pytest_addoption(parser: pytest.Parser) -> None:
    said = "also on PostgreSQL what is usually tested on SQLite alone"
    parser.addoption("--both-databases", action="store_true", help=said)


def pytest_collection_finish() -> None:
    """From here on memory is looked through, without what was loaded, and seldom: much lives for one test."""
    gc.freeze()
    gc.set_threshold(_OBJECTS_BETWEEN_LOOKS)
    gc.enable()


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Without `--both-databases`, what asks nothing particular of its database runs on SQLite alone.

    Browsers come first: their files are the longest, and one of them at the end would leave a worker idle.
    """
    everywhere = config.getoption("both_databases")
    left_out = {item for item in items if not (everywhere or _always_runs(item))}
    config.hook.pytest_deselected(items=list(left_out))
    items[:] = [item for item in items if item not in left_out]
    items.sort(key=lambda item: item.get_closest_marker("browser") is None)


def _always_runs(item: pytest.Item) -> bool:
    call = getattr(item, "callspec", None)
    database = call.params.get("shop") if call else None
    return database != "postgresql" or item.get_closest_marker("both_databases") is not None


@dataclass
class StandingClock:
    """A clock that moves only when it is told to."""

    now: datetime = NOON

    def __call__(self) -> datetime:
        return self.now

    def move(self, **span: float) -> None:
        self.now += timedelta(**span)


@pytest.fixture(scope="session", autouse=True)
def cheap_passwords() -> Iterator[None]:
    """Argon2id at its least: real hashing would be a third of the time of a page's test."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(secrets, "cost", secrets.Cost(passes=1, memory=8, lanes=1))
        yield


@pytest.fixture
def real_passwords(monkeypatch: pytest.MonkeyPatch) -> None:
    """Hash as the program does."""
    monkeypatch.setattr(secrets, "cost", REAL_COST)


class OneLoop:
    """The event loop that all clients of a file ask in: a loop and threads of its own for each request took a
    quarter of the time of an answer. The first request begins it, since what forks should have no threads.
    """

    def __init__(self, until_the_end: ExitStack) -> None:
        self._until_the_end = until_the_end
        self._begun: BlockingPortal | None = None

    def __get__(self, _client: TestClient | None, _kind: type[TestClient]) -> BlockingPortal:
        if self._begun is None:
            self._begun = self._until_the_end.enter_context(start_blocking_portal())
        return self._begun


@pytest.fixture(scope="module", autouse=True)
def one_loop() -> Iterator[None]:
    with ExitStack() as until_the_end, pytest.MonkeyPatch.context() as patch:
        patch.setattr(TestClient, "portal", OneLoop(until_the_end))
        yield


@pytest.fixture
def clock() -> StandingClock:
    return StandingClock()


@pytest.fixture(scope="session")
def sqlite_template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("template") / "shop.db"
    RunningShop.open(f"sqlite:///{file}", clock=StandingClock()).close()
    return file


@pytest.fixture(scope="session")
def new_shop(sqlite_template: Path) -> ShopFacts:
    """What every shop of a test is at its start."""
    shop = RunningShop.open(f"sqlite:///{sqlite_template}", clock=StandingClock())
    shop.close()
    return shop.facts


@pytest.fixture(scope="session")
def sqlite_engine(tmp_path_factory: pytest.TempPathFactory) -> Engine:
    """One for all tests, on another file each time: an engine remembers what it compiled.

    Nothing is waited for on the disk, as in tests/postgres.py; tests that kill a process open their own.
    """
    engine = open_engine(f"sqlite:///{tmp_path_factory.mktemp('shop') / 'data' / 'shop.db'}")
    event.listen(engine, "connect", lambda one, _: one.execute("PRAGMA synchronous=OFF").close())
    return engine


@pytest.fixture(scope="session")
def postgres_url() -> Iterator[str]:
    """One PostgreSQL server for each worker of the run; skips where none starts, fails where CI says so."""

    def fill(url: str) -> None:
        RunningShop.open(url, clock=StandingClock()).close()

    with ExitStack() as until_the_end:
        try:
            url = until_the_end.enter_context(postgres.server(fill))
        except Exception as reason:
            if os.environ.get("CI") == "true":
                raise
            pytest.skip(f"PostgreSQL cannot start here: {reason}")
        yield url


@pytest.fixture
def sqlite_shop(
    sqlite_engine: Engine, sqlite_template: Path, new_shop: ShopFacts, clock: StandingClock
) -> Iterator[RunningShop]:
    file = Path(sqlite_engine.url.database or "")
    shutil.rmtree(file.parent, ignore_errors=True)
    file.parent.mkdir()
    shutil.copyfile(sqlite_template, file)
    shop = RunningShop(Records(sqlite_engine), new_shop, clock)
    yield shop
    shop.close()


@pytest.fixture
def postgres_database(postgres_url: str) -> Iterator[str]:
    """The URL of a fresh database of a shop, for another process than this."""
    with postgres.database(postgres_url) as url:
        yield url


@pytest.fixture(scope="session")
def postgres_engine(postgres_url: str) -> Engine:
    """As `sqlite_engine`, and always on the same database."""
    return open_engine(postgres.used_again(postgres_url))


@pytest.fixture
def postgres_shop(
    postgres_engine: Engine, postgres_url: str, new_shop: ShopFacts, clock: StandingClock
) -> Iterator[RunningShop]:
    postgres.back_to_the_start(postgres_url)
    shop = RunningShop(Records(postgres_engine), new_shop, clock)
    yield shop
    shop.close()


@pytest.fixture(params=["sqlite", "postgresql"])
def shop(request: pytest.FixtureRequest) -> RunningShop:
    """A shop on either database; what passes on one must pass on the other.

    On PostgreSQL only under the mark `both_databases` or the option `--both-databases`.
    """
    wanted = "sqlite_shop" if request.param == "sqlite" else "postgres_shop"
    found: RunningShop = request.getfixturevalue(wanted)
    return found


@pytest.fixture
def twin(shop: RunningShop) -> Iterator[RunningShop]:
    """`shop` as another process holds it: the same database, with a lock and a memory of its own."""
    records = Records(open_engine(shop.records.engine.url.render_as_string(hide_password=False)))
    other = RunningShop(records, shop.facts, shop.clock)
    yield other
    other.close()


@pytest.fixture
def client(shop: RunningShop) -> Iterator[TestClient]:
    """The JSON interface over `shop`, nobody signed in; `headers_of(shop, "lead")` signs in."""
    with TestClient(interface_over(shop), raise_server_exceptions=False) as found:
        hold(found, promises())
        yield found


@pytest.fixture
def sqlite_client(sqlite_shop: RunningShop) -> Iterator[TestClient]:
    """As `client`, on SQLite only, for what does not depend on the database."""
    with TestClient(interface_over(sqlite_shop), raise_server_exceptions=False) as found:
        hold(found, promises())
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
