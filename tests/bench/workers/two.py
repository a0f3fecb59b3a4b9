"""`serve` with two worker processes, and two browsers of one person, each held by another worker.

Which process has a connection is read from /proc, so this runs on Linux only.
"""

from __future__ import annotations

import re
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx

from kb.desk.context import RunningShop
from tests import patience
from tests.api.conftest import environment_of, free_port
from tests.web.browsing import PASSWORD, Page, give_passwords

_TRIES = 200
_STARTS_WITHIN = 120.0


class Held:
    """A client whose one connection is held by a worker that is known by its number."""

    def __init__(self, url: str, cookies: httpx.Cookies) -> None:
        self.client = httpx.Client(
            base_url=url,
            cookies=cookies,
            timeout=patience.LONG,
            limits=httpx.Limits(max_connections=1, max_keepalive_connections=1),
        )

    def get(self, path: str) -> httpx.Response:
        return self.client.get(path, follow_redirects=True)

    def worker(self) -> int:
        """The process that has the connection, which is opened if it was closed meanwhile."""
        answer = self.client.get("/robots.txt")
        ours = answer.extensions["network_stream"].get_extra_info("client_addr")[1]
        return _holder(ours)

    def let_go(self) -> None:
        """Close the connection: the next one may come to another worker."""
        cookies = self.client.cookies
        url = str(self.client.base_url)
        self.client.close()
        self.__init__(url, cookies)  # type: ignore[misc]


@contextmanager
def two_workers(database: str, folder: Path) -> Iterator[str]:
    """The address of `serve` with two workers over a database, killed at the end."""
    port = free_port()
    environment = environment_of(folder) | {
        "BEFOREFLASH_DATABASE_URL": database,
        "BEFOREFLASH_WORKERS": "2",
    }
    command = (sys.executable, "-m", "api.cli", "serve", "--port", str(port))
    with (folder / "server.log").open("wb") as log:
        server = subprocess.Popen(command, env=environment, stdout=log, stderr=log)
        try:
            _wait(f"http://127.0.0.1:{port}", folder / "server.log")
            yield f"http://127.0.0.1:{port}"
        finally:
            server.terminate()
            server.wait(patience.LONG)


def signed_in(url: str, database: str, name: str) -> httpx.Cookies:
    """The cookie of a person who signed in through the page."""
    shop = RunningShop.open(database)
    give_passwords(shop)
    shop.close()
    with httpx.Client(base_url=url, timeout=patience.LONG) as client:
        fields = Page(client.get("/sign-in").text).form("/sign-in").fields
        answer = client.post("/sign-in", data=fields | {"name": name, "password": PASSWORD})
        assert answer.status_code == 303, answer.text
        return client.cookies


def part(one: Held, other: Held) -> None:
    """Give the two connections to different workers."""
    for _ in range(_TRIES):
        if one.worker() != other.worker():
            return
        other.let_go()
    raise AssertionError(f"in {_TRIES} tries both connections came to one worker")


def _holder(port: int) -> int:
    """The process at the other end of our connection from this port."""
    end = f":{port:04X}"
    for line in Path("/proc/net/tcp").read_text().splitlines()[1:]:
        fields = line.split()
        if fields[2].endswith(end):
            return _process_of(f"socket:[{fields[9]}]")
    raise AssertionError(f"nobody is at the other end of port {port}")


def _process_of(socket: str) -> int:
    for process in Path("/proc").iterdir():
        if not re.fullmatch(r"\d+", process.name):
            continue
        try:
            if any(str(one.readlink()) == socket for one in (process / "fd").iterdir()):
                return int(process.name)
        except OSError:  # it ended, or is somebody else's
            continue
    raise AssertionError(f"no process has {socket}")


def _wait(url: str, log: Path) -> None:
    give_up = time.monotonic() + _STARTS_WITHIN
    while time.monotonic() < give_up:
        try:
            if httpx.get(url, follow_redirects=True, timeout=patience.LONG).status_code == 200:
                return
        except httpx.TransportError:
            time.sleep(0.2)
    raise AssertionError(f"the server did not answer: {log.read_text('utf-8')}")
