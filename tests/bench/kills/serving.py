"""`serve` as a process of its own that can be killed, over a database that stays."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx

from kb.desk.access import tokens
from kb.desk.context import CONSOLE, RunningShop
from tests import patience
from tests.api.conftest import Server, environment_of, free_port
from tests.nursery import Nursery

_STARTS_WITHIN = 120.0  # seconds


@contextmanager
def served(processes: Nursery, url: str, folder: Path, workers: int) -> Iterator[Server]:
    """The shop at `url`, served until the end of the block if it was not killed before."""
    port = free_port()
    environment = environment_of(folder) | {
        "BEFOREFLASH_DATABASE_URL": url,
        "BEFOREFLASH_WORKERS": str(workers),
    }
    log = folder / "server.log"
    process = processes.start("serve", "--port", str(port), environment=environment, prints_to=log)
    server = Server(f"http://127.0.0.1:{port}", folder, url, process)
    _wait(server)
    try:
        yield server
    finally:
        server.kill()


def token_of(url: str, name: str) -> dict[str, str]:
    """The header of a person who is on file."""
    shop = RunningShop.open(url)
    with shop.writing(CONSOLE) as desk:
        token = tokens.new_token(desk, name)
    shop.close()
    return {"Authorization": f"Bearer {token}"}


def _wait(server: Server) -> None:
    give_up = time.monotonic() + _STARTS_WITHIN
    while time.monotonic() < give_up and server.process.runs:
        try:
            if httpx.get(f"{server.url}/healthz", timeout=patience.LONG).status_code == 200:
                return
        except httpx.TransportError:
            time.sleep(0.05)
    raise AssertionError(f"the server did not answer: {server.printed[-2000:]}")
