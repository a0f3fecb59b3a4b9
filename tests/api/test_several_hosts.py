"""One shop on two hosts: two servers on two ports with a data folder each over one PostgreSQL, and two
processes over one SQLite file. What is done at one counts at the other with its very next request.
"""

from __future__ import annotations

import io
import json
import threading
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

import httpx
from PIL import Image
from sqlalchemy import func, select
from starlette.testclient import TestClient

from kb.desk.access.anonymous_calls import AT_ONCE
from kb.desk.context import RunningShop
from kb.records.tables import Shop
from tests import patience, postgres
from tests.api.conftest import StartServer
from tests.applications import pages_over
from tests.factories import headers_of
from tests.web.browsing import PASSWORD, Page, give_passwords

WORDS = "zephyr hose wheezes"
TALK = {"concept": "stall", "phrase": "goes night night"}


class Client(Protocol):
    """What httpx has, and the test client that is like it."""

    cookies: Any

    def request(self, method: str, url: str, **more: Any) -> Any: ...


@dataclass
class Host:
    """One of the servers, and by whom it is called."""

    client: Client
    headers: dict[str, str]

    def call(self, method: str, path: str, body: Any = None, status: int = 200, **more: Any) -> Any:
        answer = self.client.request(method, f"/api{path}", json=body, headers=self.headers, **more)
        assert answer.status_code == status, answer.text
        return answer.json() if "json" in answer.headers.get("content-type", "") else answer.content

    def found(self, words: str) -> list[tuple[str, int]]:
        results = self.call("GET", f"/search?q={words}")["results"]
        return [(one["kind"], one["id"]) for one in results]

    def bring(self, name: str, title: str) -> int:
        line = json.dumps({"kind": "lesson", "title": title, "symptom": title})
        files, data = {"file": (name, line.encode(), "application/jsonl")}, {"format": "notes"}
        answer = self.client.request("POST", "/api/imports", files=files, data=data, headers=self.headers)
        assert answer.json()["state"] == "done", answer.text
        job: int = answer.json()["id"]
        return job


def test_two_processes_over_one_file_are_one_shop(sqlite_shop: RunningShop) -> None:
    other = RunningShop.open(sqlite_shop.records.engine.url.render_as_string(), clock=sqlite_shop.clock)
    give_passwords(sqlite_shop)  # before a token, which ends with the old password
    lead = headers_of(sqlite_shop, "lead")
    _is_one_shop(*(Host(TestClient(pages_over(one)), lead) for one in (sqlite_shop, other)))
    other.close()


def test_two_hosts_over_one_database_are_one_shop(
    postgres_database: str, start_server: StartServer, tmp_path: Path
) -> None:
    shop = RunningShop.open(postgres_database)
    give_passwords(shop)
    lead = headers_of(shop, "lead")
    shop.close()
    with ThreadPoolExecutor(2) as starts:
        servers = list(
            starts.map(
                lambda name: start_server(
                    BEFOREFLASH_DATABASE_URL=postgres_database, BEFOREFLASH_DATA=str(tmp_path / name)
                ),
                ("one", "other"),
            )
        )
    with ExitStack() as until_the_end:
        clients = [httpx.Client(base_url=server.url, timeout=patience.LONG) for server in servers]
        _is_one_shop(*(Host(until_the_end.enter_context(client), lead) for client in clients))


def _is_one_shop(one: Host, other: Host) -> None:
    _what_is_saved_is_found(one, other)
    _what_is_changed_counts(one, other)
    _what_is_sent_to_both_is_saved_once(one, other)
    _who_comes_in_at_one_is_in_at_the_other(one, other)
    _tries_and_calls_count_together(one, other)


def _what_is_saved_is_found(one: Host, other: Host) -> None:
    assert one.found(WORDS) == other.found(WORDS) == []
    body = {"kind": "lesson", "title": WORDS, "symptom": WORDS, "body": "Look at it."}
    note = one.call("POST", "/notes", body, 201)
    assert other.found(WORDS) == one.found(WORDS) == [("lesson", note["id"])]
    job = other.bring("more.jsonl", "Zephyr hose wheezes when cold")
    assert len(one.found(WORDS)) == 2
    one.call("POST", f"/imports/{job}/undo")
    assert other.found(WORDS) == [("lesson", note["id"])]
    other.call("POST", f"/notes/{note['id']}/retire", {"version": note["version"], "why": "no more"})
    assert one.found(WORDS) == []
    opened = other.call("POST", "/concerns", {"ro_number": "2087", "complaint": WORDS}, 201)
    assert one.found(WORDS) == [("concern", opened["id"])]
    photo = io.BytesIO()
    Image.new("RGB", (8, 8), "red").save(photo, "PNG")
    kept = one.client.request(
        "POST",
        f"/api/concerns/{opened['id']}/photos",
        files={"file": ("screen.png", photo.getvalue(), "image/png")},
        headers=one.headers,
    ).json()
    assert other.call("GET", f"/photos/{kept['id']}").startswith(b"\xff\xd8")


def _what_is_changed_counts(one: Host, other: Host) -> None:
    def window(host: Host) -> Any:
        return next(row for row in host.call("GET", "/settings") if row["key"] == "window_days")

    before = window(other)
    said = {"value": "61", "source_line": "we hear sooner", "version": before["version"]}
    one.call("PUT", "/settings/window_days", said)
    assert window(other)["value"] == window(one)["value"] != before["value"]
    said = {"value": "62", "source_line": "too late", "version": before["version"]}
    other.call("PUT", "/settings/window_days", said, 409)
    assert not other.call("GET", f"/search?q={TALK['phrase']}")["results"]
    one.call("POST", "/notes", {"kind": "lesson", "title": "Stalls", "symptom": "stall", "body": "."}, 201)
    one.call("POST", "/lexicon", TALK, 201)
    assert other.found(TALK["phrase"])


def _what_is_sent_to_both_is_saved_once(one: Host, other: Host) -> None:
    keyed = {"Idempotency-Key": '"8e03978e-40d5-43e8-bc93-6894a57f9324"'}
    body = {"ro_number": "2188", "complaint": "whines"}

    def send(host: Host) -> tuple[int, Any]:
        answer = host.client.request("POST", "/api/concerns", json=body, headers=host.headers | keyed)
        return answer.status_code, answer.json()["id"]

    with ThreadPoolExecutor(4) as senders:
        answers = set(senders.map(send, (one, other) * 4))
    assert [status for status, _ in answers] == [201]


def _who_comes_in_at_one_is_in_at_the_other(one: Host, other: Host) -> None:
    form = Page(one.client.request("GET", "/sign-in").text).form("/sign-in").fields
    typed = form | {"name": "tech", "password": PASSWORD}
    assert one.client.request("POST", "/sign-in", data=typed, follow_redirects=False).status_code == 303
    other.client.cookies.update(one.client.cookies)
    page = Page(other.client.request("GET", "/concerns").text)
    out = {"form_token": page.form("/sign-out").fields["form_token"]}
    assert one.client.request("POST", "/sign-out", data=out, follow_redirects=False).status_code == 303
    gone = other.client.request("GET", "/concerns", follow_redirects=False)
    assert (gone.status_code, gone.headers["location"].partition("?")[0]) == (303, "/sign-in")


def _tries_and_calls_count_together(one: Host, other: Host) -> None:
    """Three wrong tries cost nothing; of calls that nobody is known for `AT_ONCE` may come at once, a sign-in
    among them.
    """
    for client in (one.client, other.client):
        client.cookies.clear()
    guess = {"name": "owner", "password": "not the password"}
    statuses = [
        host.client.request("POST", "/api/sign-in", json=guess).status_code for host in (one, other) * 2
    ]
    assert statuses == [401, 401, 401, 429]
    answers = [
        host.client.request("GET", "/api/search?q=stall").status_code
        for _ in range(AT_ONCE // 2)
        for host in (one, other)
    ]
    assert answers[-1] == 429
    assert AT_ONCE * 0.75 < len([one for one in answers if one == 401]) <= AT_ONCE


def test_hosts_that_come_to_a_new_database_at_once_make_one_shop(postgres_url: str) -> None:
    hosts = 3
    together = threading.Barrier(hosts)

    def open_it(url: str) -> int:
        together.wait()
        shop = RunningShop.open(url)
        shop.close()
        return shop.facts.id

    with postgres.database(postgres_url, postgres.EMPTY) as url, ThreadPoolExecutor(hosts) as pool:
        assert set(pool.map(open_it, [url] * hosts)) == {1}
        shop = RunningShop.open(url)
        with shop.reading() as desk:
            assert desk.session.scalar(select(func.count()).select_from(Shop)) == 1
        shop.close()
