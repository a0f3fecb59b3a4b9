"""The write-ahead file where SQLite has the WAL-reset fault: small, and taken in while nobody can commit."""

from __future__ import annotations

import sqlite3
import threading
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import text

from kb.desk.context import RunningShop
from kb.records import checkpoints, engine
from kb.records.checkpoints import CheckpointsByTurn, has_wal_reset_fault
from kb.records.engine import Records, database_file, open_engine


@pytest.mark.parametrize(
    ("version", "faulty"),
    [
        ((3, 6, 23), False),
        ((3, 7, 0), True),
        ((3, 40, 1), True),
        ((3, 44, 5), True),
        ((3, 44, 6), False),
        ((3, 45, 0), True),
        ((3, 50, 6), True),
        ((3, 50, 7), False),
        ((3, 51, 0), True),
        ((3, 51, 2), True),
        ((3, 51, 3), False),
        ((3, 53, 0), False),
    ],
)
def test_the_versions_with_the_fault_are_those_that_sqlite_names(
    version: tuple[int, ...], faulty: bool
) -> None:
    """https://www.sqlite.org/wal.html, section 11: 3.7.0 to 3.51.2; right in 3.51.3, 3.50.7 and 3.44.6."""
    assert has_wal_reset_fault(version) is faulty


@pytest.fixture
def guarded(sqlite_shop: RunningShop, monkeypatch: pytest.MonkeyPatch) -> Records:
    """The shop's records as on a faulty SQLite, whichever runs the tests."""
    for module in (engine, checkpoints):
        monkeypatch.setattr(module, "has_wal_reset_fault", lambda: True)
    return Records(open_engine(str(sqlite_shop.records.engine.url)))


def test_the_write_ahead_file_stays_small_and_nothing_is_lost(guarded: Records) -> None:
    file = database_file(guarded.engine.url)
    assert file is not None
    wal = file.with_name(f"{file.name}-wal")

    def write(_number: int) -> None:
        for _ in range(60):
            with guarded.writing() as session:
                session.execute(text("UPDATE revision SET number = number + 1 WHERE topic = 'lexicon'"))

    writers = [threading.Thread(target=write, args=(one,)) for one in range(3)]
    for one in writers:
        one.start()
    for one in writers:
        one.join()
    with guarded.reading() as session:
        assert session.execute(text("SELECT number FROM revision WHERE topic = 'lexicon'")).scalar() == 180
        assert session.execute(text("PRAGMA wal_autocheckpoint")).scalar() == 0
    page, begun_anew = 4096 + 24, 3  # one commit is one page and a little; 180 of them without a checkpoint
    assert 0 < wal.stat().st_size < (180 - begun_anew) * page
    guarded.close()
    with closing(sqlite3.connect(file)) as alone:
        assert alone.execute("PRAGMA integrity_check").fetchone() == ("ok",)


def test_nobody_can_commit_while_a_checkpoint_runs(guarded: Records, monkeypatch: pytest.MonkeyPatch) -> None:
    file = database_file(guarded.engine.url)
    assert file is not None
    met: list[str] = []

    class Watched(sqlite3.Connection):
        """Before it makes a checkpoint, another process tries to write."""

        def execute(self, said: str, *more: object) -> sqlite3.Cursor:  # type: ignore[override]
            if "checkpoint(" in said:
                with closing(sqlite3.connect(file, timeout=0)) as other:
                    try:
                        other.execute("BEGIN IMMEDIATE")
                    except sqlite3.OperationalError as locked:
                        met.append(str(locked))
            return super().execute(said, *more)

    plain = sqlite3.connect
    monkeypatch.setattr(
        checkpoints.sqlite3,
        "connect",
        lambda *a, **more: plain(*a, **more, factory=Watched) if more.get("uri") else plain(*a, **more),
    )
    turn = CheckpointsByTurn(Path(file))
    with guarded.writing() as session:
        session.execute(text("UPDATE revision SET number = 7 WHERE topic = 'lexicon'"))
    turn.take_in()
    assert met == ["database is locked"]
    with closing(plain(file, timeout=0)) as writer:
        writer.execute("BEGIN IMMEDIATE")
        turn.take_in()  # somebody writes: it waits for another time
    assert len(met) == 1
    guarded.close()
