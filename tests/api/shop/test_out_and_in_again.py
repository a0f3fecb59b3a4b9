"""The whole shop taken out and brought in again by the command line, and cut off in the middle."""

from __future__ import annotations

import io
import shutil
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from api import cli
from kb.desk.access import accounts, sessions, sign_ins
from kb.desk.access.passwords import chosen
from kb.desk.context import CONSOLE, RunningShop
from kb.desk.notes import notes
from kb.desk.opening_database import only_server
from kb.nouns.people import Actor
from tests.kill_points import killed_runs

LEAD = Actor(0, "lead", "lead")
NOTES = "title,number,module,calibration_before,calibration_after\nStalls cold,TRN-1,PCM,A1,A2\nShudder,,,,\n"
HISTORY = """ro_number,opened_on,make,model,year,complaint,update,reflashed_on,gone_at_road_test,returned_on
1,2025-03-01,Tarn,Vell,2019,stalls cold,TRN-1,2025-03-01,yes,
2,2025-03-02,Tarn,Vell,2019,stalls when cold,TRN-1,2025-03-02,yes,2025-03-20
3,2025-03-03,Tarn,Vell,2018,shudders,TRN-9,2025-03-03,no,
"""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The data folder of a shop with two notes, three visits and an owner called maria."""
    monkeypatch.delenv("BEFOREFLASH_DATABASE_URL", raising=False)
    monkeypatch.setenv("BEFOREFLASH_DATA", str(tmp_path / "old"))
    monkeypatch.setattr("sys.stdin", io.StringIO("correct horse 7\n"))
    assert cli.main(["user", "add", "maria", "--role", "owner"]) == 0
    for name, text in (("notes", NOTES), ("history", HISTORY)):
        (tmp_path / f"{name}.csv").write_text(text)
        assert cli.main(["import", name, str(tmp_path / f"{name}.csv")]) == 0
    return tmp_path / "old"


def answers(data: Path) -> list[str]:
    """The titles of its notes. Raises unless SQLite finds it whole and the program opens it."""
    shop = RunningShop.open(f"sqlite:///{data / 'shop.db'}")
    with shop.reading(LEAD) as desk:
        titles = sorted(line.title for line in notes.list_notes(desk, notes.NoteFilter()).lines)
    shop.close()
    with closing(sqlite3.connect(data / "shop.db")) as database:
        assert database.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert database.execute("PRAGMA foreign_key_check").fetchall() == []
    return titles


def test_a_shop_goes_to_another_computer_and_on_with_its_work(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    one, two = tmp_path / "one.jsonl", tmp_path / "two.jsonl"
    assert cli.main(["export", str(one)]) == 0
    monkeypatch.setenv("BEFOREFLASH_DATA", str(tmp_path / "new"))
    capsys.readouterr()
    assert cli.main(["import", "shop", str(one), "--dry-run"]) == 0
    assert "is whole" in capsys.readouterr().out
    assert not (tmp_path / "new").exists()
    assert cli.main(["import", "shop", str(one)]) == 0
    assert "3 concerns, 3 notes, 3 outcomes, 1 person" in capsys.readouterr().out
    assert cli.main(["export", str(two)]) == 0
    assert one.read_bytes() == two.read_bytes()
    assert b"argon2" not in one.read_bytes()
    capsys.readouterr()
    for name in ("notes", "history"):
        assert cli.main(["import", name, str(tmp_path / f"{name}.csv")]) == 0
        assert capsys.readouterr().out.startswith("0 new, 0 changed")
    assert answers(tmp_path / "new") == ["Shudder", "Stalls cold", "TRN-9 (from history)"]


def test_nobody_comes_in_until_the_owner_did_with_the_set_up_code(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["export", str(tmp_path / "one.jsonl")]) == 0
    monkeypatch.setenv("BEFOREFLASH_DATA", str(tmp_path / "new"))
    assert cli.main(["import", "shop", str(tmp_path / "one.jsonl")]) == 0
    assert "the owner comes in again under the old name" in capsys.readouterr().out
    assert cli.main(["token", "maria"]) == 1
    assert "maria is disabled" in capsys.readouterr().err
    shop = RunningShop.open(f"sqlite:///{tmp_path / 'new' / 'shop.db'}")
    with shop.writing(CONSOLE) as desk:
        code = sign_ins.issue_set_up_code(desk)
    with shop.writing() as desk:
        signed_in = sign_ins.set_up_first_owner(desk, "maria", "", chosen("another horse 8"), code=code)
    with shop.reading(signed_in.actor) as desk:
        assert sessions.who_holds_cookie(desk, signed_in.cookie) is not None
        assert [(one.id, one.disabled) for one in accounts.list_users(desk)] == [(1, False)]
    shop.close()


def test_it_takes_no_shop_that_is_not_empty_or_open_and_no_choices(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    file = str(tmp_path / "one.jsonl")
    assert cli.main(["export", file]) == 0
    before = answers(folder)
    assert cli.main(["import", "shop", file]) == 1
    assert "is not empty: it holds 3 concerns, 3 notes" in capsys.readouterr().err
    assert answers(folder) == before
    assert cli.main(["import", "shop", file, "--column", "a=b"]) == 1
    assert "leave out --column" in capsys.readouterr().err
    monkeypatch.setenv("BEFOREFLASH_DATA", str(tmp_path / "new"))
    url = f"sqlite:///{tmp_path / 'new' / 'shop.db'}"
    RunningShop.open(url).close()
    with only_server(url, "serve", datetime.now(UTC)):
        assert cli.main(["import", "shop", file]) == 1
    assert "Stop it first, then bring the export in" in capsys.readouterr().err
    assert answers(tmp_path / "new") == []
    assert cli.main(["import", "shop", file]) == 0
    assert answers(tmp_path / "new") == before


def test_an_import_killed_at_any_moment_leaves_an_empty_shop_or_the_whole_one(
    folder: Path, tmp_path: Path, sqlite_template: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = answers(folder)
    assert cli.main(["export", str(tmp_path / "one.jsonl")]) == 0
    data = tmp_path / "pristine" / "data"
    data.mkdir(parents=True)
    shutil.copyfile(sqlite_template, data / "shop.db")
    command = ("import", "shop", str(tmp_path / "one.jsonl"))
    for run in killed_runs(data.parent, tmp_path / "killed", 4, *command):
        monkeypatch.setenv("BEFOREFLASH_DATA", str(run / "data"))
        found = answers(run / "data")
        assert found in ([], whole)
        assert cli.main(list(command)) == (1 if found else 0)
        assert answers(run / "data") == whole
