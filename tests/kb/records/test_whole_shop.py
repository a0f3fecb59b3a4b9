"""A shop taken out and brought in again is the same shop, on either database and from one to the other."""

from __future__ import annotations

import json
import shutil
import sqlite3
import tracemalloc
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from sqlalchemy import delete, func, insert, select
from sqlmodel import SQLModel, col

from kb.desk.context import CONSOLE, RunningShop
from kb.desk.notes import notes
from kb.desk.shop import out_and_in_again
from kb.errors import Conflict, Unreadable
from kb.nouns.people import Actor
from kb.records.tables import OtherWork, PhotoRow
from kb.records.whole_shop import left_out
from kb.records.whole_shop.sealed_lines import sealed
from tests import postgres
from tests.factories import a_note
from tests.older import a_shop_of, revisions
from tests.random_rows import fill

LEAD = Actor(0, "lead", "lead")
NOW = datetime(2026, 10, 31, 16, 0, tzinfo=UTC)


@contextmanager
def opened(url: str) -> Iterator[RunningShop]:
    shop = RunningShop.open(url)
    yield shop
    shop.close()


def exported(url: str, file: Path) -> bytes:
    with opened(url) as shop, shop.reading(CONSOLE) as desk:
        out_and_in_again.export_to_file(desk, file)
    return file.read_bytes()


def every_cell(url: str) -> dict[str, list[tuple[Any, ...]]]:
    """The slow twin: what the database holds, asked table by table, but for what is left out by name."""
    with opened(url) as shop, shop.reading() as session_desk:
        return {
            table.name: sorted(map(tuple, session_desk.session.execute(_all_of(table))), key=repr)
            for table in SQLModel.metadata.tables.values()
            if table.name not in left_out.TABLES
        }


def _all_of(table: Any) -> Any:
    names = left_out.kept_columns(table.name, list(table.columns.keys()))
    return select(*(table.columns[name] for name in names))


@pytest.fixture
def new(tmp_path: Path, sqlite_template: Path) -> str:
    shutil.copyfile(sqlite_template, tmp_path / "shop.db")
    return f"sqlite:///{tmp_path / 'shop.db'}"


@given(data=st.data())
@settings(max_examples=2, phases=[Phase.explicit, Phase.generate])  # smaller rows say no more
def test_random_rows_of_every_table_go_to_sqlite_to_postgresql_and_back(
    data: st.DataObject, tmp_path_factory: pytest.TempPathFactory, sqlite_template: Path, postgres_url: str
) -> None:
    """Of two examples the first always holds the least there is: nothing, 0 and empty texts."""
    folder = tmp_path_factory.mktemp("round")
    shutil.copyfile(sqlite_template, folder / "first.db")
    first, last = f"sqlite:///{folder / 'first.db'}", f"sqlite:///{folder / 'last.db'}"
    with opened(first) as shop, shop.records.writing() as session:
        fill(session.connection(), data.draw)
        # an id that is never given again
        newest = session.execute(select(func.max(col(OtherWork.id)))).scalar()
        session.execute(delete(OtherWork).where(col(OtherWork.id) == newest))
    whole = exported(first, folder / "first.jsonl")
    with postgres.database(postgres_url) as between:
        out_and_in_again.bring_in(folder / "first.jsonl", between, NOW)
        assert exported(between, folder / "between.jsonl") == whole
        assert every_cell(between) == every_cell(first)
        with pytest.raises(Conflict, match="not empty"):
            out_and_in_again.bring_in(folder / "first.jsonl", between, NOW)
    out_and_in_again.bring_in(folder / "between.jsonl", last, NOW)
    assert exported(last, folder / "last.jsonl") == whole
    assert every_cell(last) == every_cell(first)
    assert all(every_cell(first).values())


def test_every_table_is_exported_or_left_out_with_a_reason() -> None:
    """The random rows above stand in every table that is not named here, and their twin finds them again."""
    assert left_out.TABLES.keys() == {
        "shared_device",
        "shared_place",
        "sign_in",
        "api_token",
        "revision",
        "backup_turn",
        "sent_once",
        "wrong_tries",
        "anonymous_calls",
        "waiting_file",
        "alembic_version",
    }
    assert {(table, column) for table, columns in left_out.COLUMNS.items() for column in columns} == {
        ("shop", "set_up_code_hash"),
        ("shop", "device_key"),
        ("shop", "is_demo"),
        ("shop_user", "password_hash"),
        ("shop_user", "pin_hash"),
        ("shop_user", "pin_wrong"),
        ("shop_user", "disabled_at"),
    }


def test_work_goes_on_with_new_ids_and_a_server_that_ran_beside_it_notices(
    new: str, tmp_path: Path, postgres_database: str
) -> None:
    with opened(new) as shop, shop.writing(LEAD) as desk:
        notes.write_note(desk, a_note(title="Kept"))
    exported(new, tmp_path / "all.jsonl")
    with opened(postgres_database) as beside:
        with beside.reading(LEAD) as desk:
            assert notes.list_notes(desk, notes.NoteFilter()).total == 0
            before = desk.revisions()
        out_and_in_again.bring_in(tmp_path / "all.jsonl", postgres_database, NOW)
        with beside.writing(LEAD) as desk:
            assert all(number > before[topic] for topic, number in desk.revisions().items())
            assert [line.title for line in notes.list_notes(desk, notes.NoteFilter()).lines] == ["Kept"]
            assert notes.write_note(desk, a_note(title="Next")).id == 2


def _sealed_into(file: Path, entries: list[dict[str, Any]]) -> Path:
    file.write_text("".join(sealed(entries)), "ascii")
    return file


def _columns(file: Path) -> dict[str, set[str]]:
    """The columns of each table of a closed SQLite database."""
    with closing(sqlite3.connect(file)) as database:
        names = [row[0] for row in database.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
        return {name: {row[1] for row in database.execute(f"PRAGMA table_info({name})")} for name in names}


def _entries(file: Path) -> list[dict[str, Any]]:
    """What was sealed, without the last line."""
    lines = [json.loads(line) for line in file.read_text("ascii").splitlines()[:-1]]
    return [{key: value for key, value in line.items() if key != "seal"} for line in lines]


def test_a_changed_line_is_named_and_a_file_that_is_cut_short_is_told_apart(new: str, tmp_path: Path) -> None:
    whole = exported(new, tmp_path / "all.jsonl")
    lines = whole.splitlines(keepends=True)
    file, target = tmp_path / "bad.jsonl", f"sqlite:///{tmp_path / 'none' / 'shop.db'}"
    for spoilt, said in (
        ([*lines[:4], lines[4].replace(b"1", b"2", 1), *lines[5:]], "Line 5 of bad.jsonl is not as"),
        ([*lines[:4], *lines[5:]], "Line 5 of bad.jsonl is not as"),
        ([*lines[:3], lines[4], lines[3], *lines[5:]], "Line 4 of bad.jsonl is not as"),
        ([*lines[:3], lines[2], *lines[3:]], "Line 4 of bad.jsonl is not as"),
        (lines[:-1], f"cut short after line {len(lines) - 1}"),
        ([*lines[:5], lines[5][:20]], "Line 6 of bad.jsonl was cut short"),
        ([*lines, lines[-1]], f"goes on after its last line, in line {len(lines) + 1}"),
        ([b'{"beforeflash_export": 1}\n'], "made by an older version"),
        ([b"ro_number,line\n"], "is no export of a shop"),
        ([b""], "is no export of a shop"),
    ):
        file.write_bytes(b"".join(spoilt))
        with pytest.raises(Unreadable, match=said):
            out_and_in_again.bring_in(file, target, NOW)
    assert not (tmp_path / "none").exists()
    file.write_bytes(whole.replace(b"\n", b"\r\n"))  # as some mail programs leave a text
    out_and_in_again.bring_in(file, target, NOW)
    assert exported(target, tmp_path / "again.jsonl") == whole


def test_a_newer_schema_says_what_it_needs_and_a_line_without_a_place_is_named(
    new: str, tmp_path: Path
) -> None:
    exported(new, tmp_path / "all.jsonl")
    first, *rest = _entries(tmp_path / "all.jsonl")
    for entries, said in (
        ([{**first, "schema": "9001"}, *rest], f"knows the tables 9001, .* up to {revisions()[-1]}"),
        ([first, *rest, {"table": "tyre", "row": {}}], f"Line {len(rest) + 2} is of a table 'tyre'"),
        ([first, {**rest[0], "row": {**rest[0]["row"], "bay": 2}}], "Line 2 does not have .* at bay"),
    ):
        target = tmp_path / "target.db"
        RunningShop.open(f"sqlite:///{target}").close()
        before = every_cell(f"sqlite:///{target}")
        file = _sealed_into(tmp_path / "odd.jsonl", entries)
        with pytest.raises(Unreadable, match=said):
            out_and_in_again.bring_in(file, f"sqlite:///{target}", NOW)
        assert every_cell(f"sqlite:///{target}") == before


def test_an_export_with_older_tables_comes_in_and_is_brought_up_to_date(new: str, tmp_path: Path) -> None:
    """0020 is the oldest schema of which exports can be brought in again."""
    with opened(new) as shop, shop.writing(LEAD) as desk:
        notes.write_note(desk, a_note(title="Of an older version"))
    exported(new, tmp_path / "all.jsonl")
    known = _columns(a_shop_of("0020", tmp_path / "older.db"))
    first, *rest = _entries(tmp_path / "all.jsonl")
    del first["highest_ids"]["trail_head"]  # made of the lines of the trail when they come in
    rows = [
        one | {"row": {name: cell for name, cell in one["row"].items() if name in known[one["table"]]}}
        for one in rest
        if one["table"] in known
    ]
    file = _sealed_into(tmp_path / "older.jsonl", [{**first, "schema": "0020"}, *rows])
    target = f"sqlite:///{tmp_path / 'today.db'}"
    out_and_in_again.bring_in(file, target, NOW)
    exported(target, tmp_path / "today.jsonl")
    today = [one for one in _entries(tmp_path / "today.jsonl") if one.get("table") != "trail_head"]
    del today[0]["highest_ids"]["trail_head"]
    assert today[0] == first
    assert len(today) == len(rows) + 1
    for old, now in zip(rows, today[1:], strict=True):
        assert old["table"] == now["table"]
        assert old["row"].items() <= now["row"].items()


def test_photos_go_out_and_in_few_at_a_time(new: str, tmp_path: Path) -> None:
    empty = shutil.copyfile(tmp_path / "shop.db", tmp_path / "empty.db")
    picture, told = bytes(1 << 17), {"shows": "label", "caption": "", "on_print": False, "kept_by": "tech"}
    one = told | {"shop_id": 1, "width": 1, "height": 1, "small": b"", "sha256": "", "kept_at": NOW}
    rows = [one | {"sent_sha256": str(n), "content": picture} for n in range(160)]
    with opened(new) as shop, shop.writing(CONSOLE) as desk:
        desk.session.execute(insert(PhotoRow), rows)
    del rows
    tracemalloc.start()
    try:
        with opened(new) as shop, shop.reading(CONSOLE) as desk:
            out_and_in_again.export_to_file(desk, tmp_path / "out.jsonl")
        out_and_in_again.bring_in(tmp_path / "out.jsonl", f"sqlite:///{empty}", NOW)
        assert tracemalloc.get_traced_memory()[1] < 160 * len(picture)  # all of them
    finally:
        tracemalloc.stop()
