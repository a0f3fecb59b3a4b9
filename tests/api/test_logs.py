"""The log: a line an event, for people or programs, that helps whoever looks and tells nobody's data."""

from __future__ import annotations

import html
import io
import json
import logging
import re
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import text
from starlette.testclient import TestClient

from api import logs, settings
from api.form_tokens import is_token, masked
from api.settings import LogSettings
from kb.desk.access import sessions
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from tests.applications import pages_over
from tests.web.browsing import Visitor

SECRETS = ("Maria Lopez", "1HGCM82633A004352", "bucks n jerks", "555-0142")
CONCERN = {"ro_number": "2087", "complaint": SECRETS[2], "customer_phone": SECRETS[3], "vin": SECRETS[1]}


@pytest.fixture(params=["json", "text"])
def lines(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Iterator[io.StringIO]:
    """The log of this process as a server would write it."""
    written, root = io.StringIO(), logging.getLogger()
    ours, before = logging.getLogger("beforeflash"), (root.handlers[:], root.level)
    monkeypatch.setattr(logs.sys, "stderr", written)
    root.handlers = []
    logs.set_up(LogSettings(json=request.param == "json", requests=True))
    yield written
    root.handlers, level = before
    root.setLevel(level)
    ours.setLevel(logging.NOTSET)


def test_a_fault_is_found_by_its_number_and_no_line_holds_anybodys_data(
    sqlite_shop: RunningShop, lines: io.StringIO, monkeypatch: pytest.MonkeyPatch
) -> None:
    lead = Visitor(sqlite_shop).sign_in("lead")

    def fail(desk: Any, *_said: object) -> None:
        name, vin, *_ = SECRETS
        try:
            desk.session.execute(text("SELECT nothing FROM nowhere WHERE a = :a"), {"a": name})
        except Exception as wrong:
            raise ValueError(f"{name} and {vin}") from wrong

    monkeypatch.setattr(notes, "write_note", fail)
    typed = {"title": SECRETS[2], "body": SECRETS[3]}
    fields = lead.see("/notes/new/lesson").form("/notes/new/lesson").fields
    fields |= {name: [value] for name, value in typed.items()}
    page = lead.client.post("/notes/new/lesson", data=fields)
    assert page.status_code == 500
    assert "This was not saved" in page.text
    assert SECRETS[2] in page.text
    token = {"X-Form-Token": fields["form_token"][0]}
    refused = lead.client.post("/api/notes", json={"kind": "lesson", **typed}, headers=token)
    number = refused.json()["error"]["details"]["request"]
    lead.client.get("/api/search", params={"q": SECRETS[2]})
    said = lines.getvalue()
    assert not [one for one in (*SECRETS, *token.values()) if one in said]
    line = next(one for one in said.splitlines() if number in one and "a request failed" in one)
    assert "ValueError" in line
    assert "SQLITE_ERROR" in line
    assert "api/routes/notes/notes.py" in line
    assert any(one in html.unescape(page.text) for one in _numbers(said, "/notes/new/{kind}"))
    assert "/api/search" in said
    if line.startswith("{"):
        assert all(json.loads(one)["at"].endswith("+00:00") for one in said.splitlines())


def _numbers(said: str, route: str) -> list[str]:
    found = [re.search(r"\b[2-9B-Z]{3}-[2-9B-Z]{3}\b", one) for one in said.splitlines() if route in one]
    return [one[0] for one in found if one]


def test_a_package_that_writes_what_it_was_sent_is_not_quoted(lines: io.StringIO) -> None:
    logging.getLogger("uvicorn.error").warning("Invalid request from %s", SECRETS[0])
    assert "Invalid request from %s" in lines.getvalue()
    assert SECRETS[0] not in lines.getvalue()


def test_the_settings_of_the_log_are_refused_in_a_sentence() -> None:
    asked = settings.from_environment({"BEFOREFLASH_LOG": "JSON", "BEFOREFLASH_LOG_REQUESTS": "yes"})
    assert asked.log == LogSettings(json=True, requests=True)
    with pytest.raises(settings.BadSettings, match="BEFOREFLASH_LOG is 'xml'; it must be text or json"):
        settings.from_environment({"BEFOREFLASH_LOG": "xml"})


@given(st.text(min_size=1, max_size=60), st.text(max_size=60))
def test_a_masked_token_is_known_again_and_no_other(token: str, other: str) -> None:
    assert is_token(masked(token), token)
    assert is_token(token, token)
    assert is_token(other, token) == (other == token)
    assert not is_token(masked(token + "x"), token)


def test_answers_are_packed_and_no_two_pages_carry_the_token_alike(sqlite_shop: RunningShop) -> None:
    """RFC 9110, 8.4 and 12.5.3: packed for who asks for it, and said to caches."""
    lead = Visitor(sqlite_shop).sign_in("lead")
    pages = [lead.client.get("/notes/new/lesson") for _ in range(2)]
    assert {one.headers["content-encoding"] for one in pages} == {"gzip"}
    assert all("Accept-Encoding" in one.headers["vary"] for one in pages)
    assert all(int(one.headers["content-length"]) < len(one.content) / 3 for one in pages)
    with sqlite_shop.reading() as desk:
        held = sessions.who_holds_cookie(desk, lead.client.cookies["beforeflash_session"])
    assert held is not None
    assert not [one for one in pages if held.form_token in one.text]
    plain = lead.client.get("/notes/new/lesson", headers={"Accept-Encoding": "identity"})
    assert "content-encoding" not in plain.headers
    with TestClient(pages_over(sqlite_shop)) as client:
        assert len(client.get("/api/me").headers["x-request-number"]) == 7
