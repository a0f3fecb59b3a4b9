"""What the interface says of itself, and a real server in a process of its own, as a shop starts it."""

from __future__ import annotations

import os
import signal
import socket
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import httpx
import pytest
from starlette.testclient import TestClient

from kb.desk.access import accounts, tokens
from kb.desk.context import CONSOLE, RunningShop
from tests import patience
from tests.nursery import Nursery, Process, nursery

STARTS_WITHIN = 60.0  # seconds on a quiet machine
STOPS_WITHIN = 10.0


@dataclass(frozen=True)
class Server:
    """`beforeflash serve` on this machine; `database` is where its shop is."""

    url: str
    folder: Path
    database: str
    process: Process

    def token(self, name: str) -> dict[str, str]:
        """The header of a person, made as the command line makes it, while the server runs."""
        shop = RunningShop.open(self.database)
        with shop.writing(CONSOLE) as desk:
            accounts.add_starting_people(desk)
            token = tokens.new_token(desk, name)
        shop.close()
        return {"Authorization": f"Bearer {token}"}

    def client(self, name: str) -> httpx.Client:
        return httpx.Client(base_url=self.url, headers=self.token(name), timeout=patience.LONG)

    @property
    def printed(self) -> str:
        return (self.folder / "server.log").read_text("utf-8")

    def wait_until_printed(self, words: str, times: int) -> None:
        give_up = time.monotonic() + patience.LONG
        while self.printed.count(words) < times and time.monotonic() < give_up:
            time.sleep(0.1)

    def stop(self) -> None:
        """SIGTERM. Raises if it does not stop in time."""
        self.process.send_signal(signal.SIGTERM)
        self.process.wait(patience.here(STOPS_WITHIN))

    def kill(self) -> None:
        """As a power cut would."""
        self.process.kill()
        self.process.wait(patience.LONG)


StartServer = Callable[..., Server]


def environment_of(folder: Path) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if not name.startswith("BEFOREFLASH_")}
    return kept | {"BEFOREFLASH_DATA": str(folder), "PYTHONUNBUFFERED": "1"}


def free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as probe:
        port: int = probe.getsockname()[1]
    return port


@pytest.fixture
def described(sqlite_client: TestClient, as_tech: dict[str, str]) -> Any:
    return sqlite_client.get("/api/openapi.json", headers=as_tech).json()


@pytest.fixture(scope="session")
def processes() -> Iterator[Nursery]:
    with nursery() as one:
        yield one


@pytest.fixture
def start_server(tmp_path: Path, processes: Nursery) -> Iterator[StartServer]:
    started: list[Server] = []

    def start(**environment: str) -> Server:
        port, folder = free_port(), Path(environment.get("BEFOREFLASH_DATA", tmp_path))
        folder.mkdir(exist_ok=True)
        process = processes.start(
            *("serve", "--port", str(port)),
            environment=environment_of(tmp_path) | environment,
            prints_to=folder / "server.log",
        )
        database = environment.get("BEFOREFLASH_DATABASE_URL", f"sqlite:///{folder / 'shop.db'}")
        server = Server(f"http://127.0.0.1:{port}", folder, database, process)
        started.append(server)
        _wait_until_it_answers(server)
        return server

    yield start
    for server in started:
        server.kill()


def _wait_until_it_answers(server: Server) -> None:
    give_up = time.monotonic() + patience.here(STARTS_WITHIN)
    while time.monotonic() < give_up and server.process.runs:
        try:
            if httpx.get(server.url, follow_redirects=True, timeout=patience.LONG).status_code == 200:
                return
        except httpx.TransportError:
            time.sleep(0.1)
    raise AssertionError(f"the server did not answer: {server.printed}")
