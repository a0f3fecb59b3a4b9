"""What was acknowledged is on the disk: the server is killed, not stopped, in the middle of saving."""

from __future__ import annotations

import itertools
import threading
from concurrent.futures import ThreadPoolExecutor

import httpx
import psutil

from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.people import Actor
from tests import patience
from tests.api.conftest import Server, StartServer

SAVES = 100
KILLED_AFTER = 60


def test_a_killed_server_has_kept_every_note_that_it_acknowledged(start_server: StartServer) -> None:
    server = start_server()
    acknowledged = _save_until_killed(server)
    assert KILLED_AFTER <= len(acknowledged) < SAVES
    shop = RunningShop.open(f"sqlite:///{server.folder / 'shop.db'}")
    with shop.reading(Actor(0, "lead", "lead")) as desk:
        kept = {note_id: notes.read_note(desk, note_id).content.title for note_id in acknowledged}
        assert desk.session.connection().exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"
    assert kept == acknowledged
    shop.close()


def test_a_shop_that_was_killed_starts_again_and_goes_on(start_server: StartServer) -> None:
    first = start_server()
    with first.client("lead") as client:
        made = client.post("/api/notes", json={"kind": "lesson", "title": "Before the power cut"}).json()
    first.kill()
    second = start_server()
    with second.client("lead") as client:
        assert client.get(f"/api/notes/{made['id']}").json()["title"] == "Before the power cut"
        later = client.post("/api/notes", json={"kind": "lesson", "title": "After it"})
    assert later.status_code == 201
    assert later.json()["id"] > made["id"]


def test_the_workers_of_a_killed_server_end_with_it(start_server: StartServer) -> None:
    """They would keep the port, and their own parent is the process that they were divided from."""
    server = start_server(BEFOREFLASH_WORKERS="2")
    below = psutil.Process(server.process.pid).children(recursive=True)
    assert len(below) >= 2
    server.kill()
    _, left = psutil.wait_procs(below, patience.LONG)
    assert left == []


def _save_until_killed(server: Server) -> dict[int, str]:
    """Four people save at once; the kill comes amid it. Gives the acknowledged titles by id."""
    acknowledged: dict[int, str] = {}
    numbers, counting = itertools.count(1), threading.Lock()
    headers = server.token("lead")

    def save_on() -> None:
        with httpx.Client(base_url=server.url, headers=headers, timeout=patience.LONG) as client:
            while (number := next(numbers)) <= SAVES:
                title = f"Lesson {number}"
                try:
                    answer = client.post("/api/notes", json={"kind": "lesson", "title": title})
                except httpx.TransportError:
                    return
                assert answer.status_code == 201, answer.text
                with counting:
                    acknowledged[answer.json()["id"]] = title
                    if len(acknowledged) == KILLED_AFTER:
                        server.process.kill()

    with ThreadPoolExecutor(4) as people:
        for done in [people.submit(save_on) for _ in range(4)]:
            done.result()
    return acknowledged
