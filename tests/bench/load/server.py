"""A server of its own under test: started, watched, stopped."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

import httpx
import psutil

from kb.desk.access import tokens
from kb.desk.context import CONSOLE, RunningShop
from tests import patience
from tests.api.conftest import environment_of, free_port

READY = "Search index ready"


@dataclass(frozen=True)
class Memory:
    """Megabytes of a server and its workers: `alone` is what each has to itself, `fair` what all hold,
    what several share counted once; `summed` counts it for each. `each` is `fair` by process, the server
    first.
    """

    alone: float
    fair: float
    summed: float
    each: tuple[float, ...]

    def __str__(self) -> str:
        by_process = ", ".join(f"{one:.0f}" for one in self.each)
        return (
            f"{self.fair:.0f} MB together (PSS: {by_process}), {self.alone:.0f} MB of them alone (USS), "
            f"{self.summed:.0f} MB with what is shared counted for each (RSS)"
        )


@dataclass(frozen=True)
class Server:
    """`began` is when it was started, by the clock of `time.monotonic`."""

    url: str
    process: subprocess.Popen[bytes]
    log: Path
    began: float

    def ready(self) -> list[str]:
        """What each worker said that has its index."""
        return [line for line in self.log.read_text("utf-8").splitlines() if line.startswith(READY)]

    def until_ready(self, workers: int) -> float:
        """Seconds from the start until so many workers have their index."""
        while len(self.ready()) < workers:
            self._still_there()
            time.sleep(0.02)
        return time.monotonic() - self.began

    def until_open(self) -> None:
        """Until it answers at all; a busy machine may have the index sooner."""
        self._asked_until_answered("/healthz", {}, {})

    def until_found(self, token: str, words: str = "stall") -> float:
        """Seconds from the start until a search was answered, by whichever worker."""
        headers = {"Authorization": f"Bearer {token}"}
        self._asked_until_answered("/api/search", {"q": words, "limit": 10}, headers)
        return time.monotonic() - self.began

    def _asked_until_answered(self, path: str, params: dict[str, str | int], headers: dict[str, str]) -> None:
        with httpx.Client(base_url=self.url, headers=headers, timeout=patience.LONG) as client:
            while True:
                try:
                    answer = client.get(path, params=params)
                    assert answer.status_code == 200, answer.text
                    return
                except httpx.TransportError:
                    self._still_there()
                    time.sleep(0.02)

    def processes(self) -> list[psutil.Process]:
        """The server and whatever it started that holds memory of its own."""
        first = psutil.Process(self.process.pid)
        return [first, *first.children(recursive=True)]

    def memory(self) -> Memory:
        found = [one.memory_full_info() for one in self.processes()]
        return Memory(
            sum(one.uss for one in found) / 1e6,
            sum(one.pss for one in found) / 1e6,
            sum(one.rss for one in found) / 1e6,
            tuple(one.pss / 1e6 for one in found),
        )

    def _still_there(self) -> None:
        if self.process.poll() is not None:
            raise AssertionError(self.log.read_text("utf-8"))


@contextmanager
def serving(folder: Path, database: str, workers: int = 2) -> Iterator[Server]:
    """`serve` with so many workers over a database, its data in a folder, stopped at the end."""
    port, log = free_port(), folder / "server.log"
    environment = environment_of(folder) | {"BEFOREFLASH_WORKERS": str(workers)}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)  # an installation has its modules compiled
    environment["BEFOREFLASH_DATABASE_URL"] = database
    command = (sys.executable, "-m", "api.cli", "serve", "--port", str(port))
    with log.open("wb") as out:
        began = time.monotonic()
        process = subprocess.Popen(command, env=environment, stdout=out, stderr=out)
        try:
            yield Server(f"http://127.0.0.1:{port}", process, log, began)
        finally:
            if process.poll() is None:
                os.kill(process.pid, signal.SIGTERM)
            process.wait(patience.LONG)


def url_of(folder: Path) -> str:
    return f"sqlite:///{folder / 'shop.db'}"


def token_of(url: str, name: str) -> str:
    with closing(RunningShop.open(url)) as shop, shop.writing(CONSOLE) as desk:
        return tokens.new_token(desk, name)
