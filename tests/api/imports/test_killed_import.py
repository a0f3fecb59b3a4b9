"""A server is killed in the middle of an import: the next one says so and carries it on."""

from __future__ import annotations

import csv
import io
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from typing import Any

import httpx

from tests import patience
from tests.api.conftest import Server, StartServer
from tests.kb.desk.imports.importing import history

TOLD_WITHIN = 10.0
ROWS = 1500
BAD = 7


def file_of(rows: int) -> dict[str, Any]:
    said = [{"ro_number": str(number), "update": f"NV-24-{number % 9 + 100}"} for number in range(rows)]
    said[BAD] |= {"opened_on": "soon"}
    return {"data": {"format": "history"}, "files": {"file": ("old.csv", history(*said), "text/csv")}}


def waits(
    client: httpx.Client, until: Callable[[dict[str, Any]], object], within: float = patience.LONG
) -> dict[str, Any]:
    """The newest import, once it is so."""
    give_up = time.monotonic() + within
    while True:
        told: list[dict[str, Any]] = client.get("/api/imports").json()
        if time.monotonic() > give_up or (told and until(told[0])):
            return told[0]
        time.sleep(0.1)


def test_a_killed_import_is_told_within_ten_seconds_and_carried_on(start_server: StartServer) -> None:
    _kill_while_it_imports(start_server())
    with start_server().client("lead") as client:
        dead = waits(client, lambda job: job["standing_still"], TOLD_WITHIN)
        assert dead["standing_still"]
        assert 0 < dead["created"] < ROWS
        assert "Carry it on" in dead["sentence"]
        assert client.post(f"/api/imports/{dead['id']}/resume").status_code == 200
        ended = waits(client, lambda job: job["state"] == "done")
        assert (ended["created"], ended["unchanged"], ended["rows"]) == (ROWS - 1, 0, ROWS)
        left = client.get(f"/api/imports/{dead['id']}/left-out").content.decode("utf-8-sig")
        assert [row[1] for row in csv.reader(io.StringIO(left))][1:] == [str(BAD)]
        client.post("/api/imports", **file_of(ROWS))
        assert (
            waits(client, lambda job: job["state"] == "done" and job["id"] != dead["id"])["created"] == 0
        ), "nothing was taken twice"


def _kill_while_it_imports(server: Server) -> None:
    with server.client("lead") as client:

        def send() -> None:
            with suppress(httpx.TransportError):
                httpx.post(
                    f"{server.url}/api/imports",
                    headers=client.headers,
                    timeout=patience.LONG,
                    **file_of(ROWS),
                )

        sender = threading.Thread(target=send)
        sender.start()
        waits(client, lambda job: job["created"])
        server.kill()
        sender.join()
