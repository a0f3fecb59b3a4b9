"""A full disk, and one that cannot be written: a sentence in each place, and nothing lost."""

from __future__ import annotations

import errno
import html
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from psycopg.errors import lookup
from sqlalchemy import text
from starlette.testclient import TestClient

from api import cli
from kb.desk.context import CONSOLE, RunningShop
from kb.desk.notes import notes
from kb.errors import NotDone
from kb.nouns.shop.disk_trouble import CANNOT_OPEN, FULL, READ_ONLY, of_os_error
from kb.records import engine
from kb.records.disk_trouble import sentence_of
from tests.applications import pages_over
from tests.factories import a_note, headers_of
from tests.web.browsing import Visitor, give_passwords

LONG = "Check the ground strap of the module. " * 1500  # 57 kB: more than the file has free pages


@dataclass(frozen=True)
class Hindered:
    shop: RunningShop
    headers: dict[str, str]
    sentence: str


@pytest.fixture(params=["full", "read only"])
def hindered(
    request: pytest.FixtureRequest, tmp_path: Path, sqlite_template: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Hindered]:
    """A shop whose file cannot grow (what SQLite says of a full disk), or cannot be written."""
    file = tmp_path / "shop.db"
    file.write_bytes(sqlite_template.read_bytes())
    shop = RunningShop.open(f"sqlite:///{file}")
    give_passwords(shop)
    headers = headers_of(shop, "lead")
    shop.close()
    hinder = "PRAGMA max_page_count=1" if request.param == "full" else "PRAGMA query_only=ON"
    usual = engine._prepare_sqlite

    def prepare(connection: Any, record: Any) -> None:
        usual(connection, record)
        connection.execute(hinder).close()  # a limit below what is there is what is there

    monkeypatch.setattr(engine, "_prepare_sqlite", prepare)
    monkeypatch.setenv("BEFOREFLASH_DATABASE_URL", f"sqlite:///{file}")
    shop = RunningShop.open(f"sqlite:///{file}")
    yield Hindered(shop, headers, FULL if request.param == "full" else READ_ONLY)
    shop.close()


def test_page_interface_and_command_say_it_and_nothing_is_lost(
    hindered: Hindered, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shop, headers, sentence = hindered.shop, hindered.headers, hindered.sentence
    with TestClient(pages_over(shop), raise_server_exceptions=False) as client:
        body = {"kind": "lesson", "title": "Ground first", "body": LONG}
        answer = client.post("/api/notes", json=body, headers=headers)
        assert (answer.status_code, answer.json()["error"]["code"]) == (507, "not_done")
        assert answer.json()["error"]["message"] == sentence
        assert client.get("/api/notes", headers=headers).json()["notes"] == []
    with pytest.raises(NotDone, match=sentence[:40]), shop.writing(CONSOLE) as desk:
        notes.write_note(desk, a_note(title="Ground first", body=LONG))
    (tmp_path / "lessons.csv").write_text(f"kind,title,body\nlesson,Ground first,{LONG}\n", "utf-8")
    assert cli.main(["import", "notes", str(tmp_path / "lessons.csv")]) == 1
    said = capsys.readouterr().err
    assert sentence in said
    assert "Traceback" not in said
    with shop.reading(CONSOLE) as desk:
        assert desk.session.execute(text("SELECT count(*) FROM note")).scalar() == 0


def test_what_was_typed_stands_on_the_page(sqlite_shop: RunningShop, monkeypatch: pytest.MonkeyPatch) -> None:
    lead = Visitor(sqlite_shop).sign_in("lead")
    fields = lead.see("/notes/new/lesson").form("/notes/new/lesson").fields | {"title": ["Ground first"]}

    def no_room(*_said: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(notes, "write_note", no_room)
    answer = lead.client.post("/notes/new/lesson", data=fields)
    assert answer.status_code == 507
    assert FULL in html.unescape(answer.text)
    assert "This was not saved" in answer.text
    assert "Ground first" in answer.text


def test_only_a_full_or_closed_disk_is_called_one() -> None:
    """Codes of sqlite.org/rescode.html, PostgreSQL's appendix A and POSIX."""
    for state, sentence in (("53100", FULL), ("25006", READ_ONLY), ("40001", None), ("53300", None)):
        assert sentence_of(lookup(state)()) == sentence
    for code, sentence in (
        (13, FULL),
        (4874, FULL),
        (8, READ_ONLY),
        (1032, READ_ONLY),
        (14, CANNOT_OPEN),
        (5, None),
        (10, None),
    ):
        error = sqlite3.OperationalError()
        error.sqlite_errorcode = code
        assert sentence_of(error) == sentence
    for number, sentence in ((errno.ENOSPC, FULL), (errno.EROFS, READ_ONLY), (errno.ENOENT, None)):
        found = of_os_error(OSError(number, ""))
        assert (found and found.message) == sentence
