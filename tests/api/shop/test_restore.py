"""A copy comes back whole or not at all, and the shop that was there answers whatever happens.

The counts asked for (200 flipped bits, 50 truncations, every moment of a kill) are run by
`python -m tests.bench.backups`; here fewer of each, on other draws.
"""

from __future__ import annotations

import random
import shutil
import sqlite3
import subprocess
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from api import cli
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.people import Actor
from tests.factories import a_note
from tests.kill_points import killed_runs
from tests.older import a_shop_of, of_a_program_to_come, revisions

LEAD = Actor(0, "lead", "lead")
LEFT_OVER = ("*unfinished*", "*arriving*")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, sqlite_template: Path) -> Path:
    """The data folder of a shop with one lesson, "Old"; `copy.db` outside is a backup with "New" instead."""
    monkeypatch.delenv("BEFOREFLASH_DATABASE_URL", raising=False)
    data = tmp_path / "pristine" / "data"
    monkeypatch.setenv("BEFOREFLASH_DATA", str(data))
    for title in ("New", "Old"):
        data.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(sqlite_template, data / "shop.db")
        shop = RunningShop.open(f"sqlite:///{data / 'shop.db'}")
        with shop.writing(LEAD) as desk:
            notes.write_note(desk, a_note(title=title))
        shop.close()
        if title == "New":
            assert cli.main(["backup", str(tmp_path / "copy.db")]) == 0
    return data


@pytest.fixture
def copy(folder: Path, tmp_path: Path) -> Path:
    return tmp_path / "copy.db"


def title_in(data: Path) -> str:
    """What the shop answers. Raises unless SQLite finds it whole and today's program opens it."""
    with closing(sqlite3.connect(data / "shop.db")) as database:
        assert database.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    shop = RunningShop.open(f"sqlite:///{data / 'shop.db'}")
    with shop.reading(LEAD) as desk:
        titles = [line.title for line in notes.list_notes(desk, notes.NoteFilter()).lines]
    shop.close()
    return ", ".join(titles)


def left_over(data: Path) -> list[str]:
    return [file.name for pattern in LEFT_OVER for file in data.rglob(pattern)]


def test_a_copy_with_one_flipped_bit_or_cut_short_is_never_taken(
    folder: Path, copy: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    draw = random.Random(20261130)
    for file in (copy, copy.with_name("copy.db.check")):
        whole = file.read_bytes()
        for _ in range(12):
            at = draw.randrange(len(whole) * 8)
            flipped = bytearray(whole)
            flipped[at // 8] ^= 1 << at % 8
            for damaged in (bytes(flipped), whole[: draw.randrange(len(whole))]):
                file.write_bytes(damaged)
                assert cli.main(["restore", str(copy)]) == 1
                assert "another" in capsys.readouterr().err
        file.write_bytes(whole)
    assert title_in(folder) == "Old"
    assert left_over(folder) == []
    assert cli.main(["restore", str(copy)]) == 0
    assert title_in(folder) == "New"


def test_two_whole_copies_with_their_sheets_swapped_are_not_taken(
    folder: Path, copy: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["backup", str(tmp_path / "other.db")]) == 0
    shutil.copyfile(tmp_path / "other.db.check", tmp_path / "copy.db.check")
    assert cli.main(["restore", str(copy)]) == 1
    assert "copy.db.check" in capsys.readouterr().err
    assert title_in(folder) == "Old"


@pytest.mark.parametrize("revision", revisions()[::8])
def test_a_copy_of_an_older_version_is_taken_and_brought_up_to_date(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], revision: str
) -> None:
    older = a_shop_of(revision, tmp_path / "older.db")
    before = older.read_bytes()
    assert cli.main(["restore", str(older)]) == 0
    said = capsys.readouterr()
    assert "older.db.check is missing" in said.err
    assert "An older shop" in said.out
    assert title_in(folder) == ""
    assert older.read_bytes() == before


def test_a_copy_of_a_newer_version_of_the_demo_of_nothing_or_of_itself_is_refused(
    folder: Path, copy: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    newer, demo = tmp_path / "newer.db", tmp_path / "demo.db"
    shutil.copyfile(copy, newer)
    of_a_program_to_come(newer)
    RunningShop.open(f"sqlite:///{demo}", is_demo=True).close()
    (tmp_path / "other.db").write_bytes(b"")
    refused = {newer: "newer version", demo: "invented demo", tmp_path / "other.db": "not the database"}
    for file, said in (
        refused | {folder / "shop.db": "shop itself", tmp_path / "none.db": "no file"}
    ).items():
        assert cli.main(["restore", str(file)]) == 1
        assert said in capsys.readouterr().err
    assert title_in(folder) == "Old"
    assert left_over(folder) == []


def test_a_copy_without_its_sheet_is_still_looked_through(
    folder: Path, copy: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    copy.with_name("copy.db.check").unlink()
    whole = copy.read_bytes()
    copy.write_bytes(whole[:9000] + bytes(40_000) + whole[49_000:])
    assert cli.main(["restore", str(copy)]) == 1
    copy.write_bytes(whole)
    assert cli.main(["restore", str(copy)]) == 0
    assert "copy.db.check is missing" in capsys.readouterr().err


def test_a_damaged_shop_is_put_right_by_its_backup_and_kept(folder: Path, copy: Path) -> None:
    damaged = (folder / "shop.db").read_bytes()[:5000]
    (folder / "shop.db").write_bytes(damaged)
    assert cli.main(["restore", str(copy)]) == 0
    assert title_in(folder) == "New"
    [kept] = folder.glob("shop.db.before-*")
    assert kept.read_bytes() == damaged


def test_a_restore_killed_at_any_moment_leaves_the_old_shop_or_the_new_one_whole(
    folder: Path, copy: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    runs = killed_runs(folder.parent, tmp_path / "runs", 5, "restore", str(copy))
    assert len(runs) == 5
    assert title_in(tmp_path / "runs" / "whole" / "data") == "New"
    assert {title_in(run / "data") for run in runs} <= {"Old", "New"}
    assert any(left_over(run) for run in runs)
    for run in runs:
        monkeypatch.setenv("BEFOREFLASH_DATA", str(run / "data"))
        assert cli.main(["restore", str(copy)]) == 0
        assert (title_in(run / "data"), left_over(run)) == ("New", [])
        assert not any(kept.samefile(run / "data" / "shop.db") for kept in (run / "data").glob("*.before-*"))


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of three megabytes."""
    place = tmp_path / "disk"
    place.mkdir()
    mount = [shutil.which("mount") or "mount", "-t", "tmpfs", "-o", "size=3m", "tmpfs", str(place)]
    try:
        subprocess.run(mount, check=True, capture_output=True)
    except (OSError, subprocess.CalledProcessError):
        pytest.skip("only root can mount a small disk")
    yield place
    subprocess.run([shutil.which("umount") or "umount", str(place)], check=True)


@pytest.mark.parametrize("share", [0.1, 0.8, 1.15])
def test_a_restore_onto_a_full_disk_leaves_the_old_shop_and_says_what_to_do(
    folder: Path,
    copy: Path,
    tmp_path: Path,
    small_disk: Path,
    share: float,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The copy needs room of its size; an older one needs more while it is brought up to date."""
    fits_copy, room = share > 1, round(share * copy.stat().st_size)
    data = small_disk / "data"
    shutil.copytree(folder, data)
    monkeypatch.setenv("BEFOREFLASH_DATA", str(data))
    older = a_shop_of("0001", tmp_path / "older.db")
    free = shutil.disk_usage(small_disk).free
    (small_disk / "filler").write_bytes(bytes(free - room))
    for file, fits in ((copy, fits_copy), (older, False)):
        code = cli.main(["restore", str(file)])
        said = capsys.readouterr().err
        assert code == (0 if fits else 1), said
        assert fits or "Free some room" in said
        assert left_over(data) == []
    (small_disk / "filler").unlink()
    assert title_in(data) == ("New" if fits_copy else "Old")
