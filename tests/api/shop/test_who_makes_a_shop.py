"""A mistyped folder makes no shop, only its owner reads it, and one server has it."""

from __future__ import annotations

import io
import json
import os
import shutil
import stat
from pathlib import Path

import pytest

from api import cli
from kb.desk.context import CONSOLE, RunningShop
from kb.desk.imports import import_preview
from kb.desk.shop import backups
from tests.api.conftest import StartServer
from tests.kill_points import killed_runs
from tests.older import a_shop_of


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A data folder that does not exist yet."""
    monkeypatch.delenv("BEFOREFLASH_DATABASE_URL", raising=False)
    monkeypatch.setenv("BEFOREFLASH_DATA", str(tmp_path / "run" / "data"))
    return tmp_path / "run" / "data"


def answers(folder: Path) -> bool:
    """Whether today's program reads the shop there."""
    shop = RunningShop.open(f"sqlite:///{folder / 'shop.db'}")
    with shop.reading(CONSOLE) as desk:
        sound = desk.session.connection().exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"
    shop.close()
    return sound


@pytest.mark.parametrize(
    "typed",
    [
        ["backup", "{}/copy.db"],
        ["export"],
        ["export", "{}/all.jsonl"],
        ["user", "list"],
        ["user", "disable", "x"],
    ],
    ids=" ".join,
)
def test_what_needs_a_shop_makes_none(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], typed: list[str]
) -> None:
    assert cli.main([part.format(tmp_path) for part in typed]) == 1
    said = capsys.readouterr()
    assert (said.out, said.err.count("\n")) == ("", 1)
    assert f"no shop in {folder} yet. Start one" in said.err
    assert list(tmp_path.iterdir()) == []


def test_an_empty_file_is_no_shop_and_other_files_are_not_touched(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder.mkdir(parents=True)
    for content, said in ((b"", "no shop in"), (b"a letter to somebody" * 99, "no sound database")):
        (folder / "shop.db").write_bytes(content)
        assert cli.main(["user", "list"]) == 1
        assert said in capsys.readouterr().err
        assert (folder / "shop.db").read_bytes() == content
        assert len(list(folder.iterdir())) == 1


def test_an_import_makes_a_shop_only_where_somebody_named_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "lessons.csv").write_text("kind,title\nlesson,Check the ground first\n", "utf-8")
    for name in ("BEFOREFLASH_DATA", "BEFOREFLASH_DATABASE_URL"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "home"))
    assert cli.main(["import", "notes", str(tmp_path / "lessons.csv")]) == 1
    assert "name the folder of a new one in BEFOREFLASH_DATA" in capsys.readouterr().err
    assert not (tmp_path / "home").exists()
    monkeypatch.setenv("BEFOREFLASH_DATA", str(tmp_path / "new"))
    assert cli.main(["import", "notes", str(tmp_path / "lessons.csv")]) == 0
    assert f"A new shop was made for it in {tmp_path / 'new'}." in capsys.readouterr().out
    assert cli.main(["import", "notes", str(tmp_path / "lessons.csv")]) == 0
    assert "new shop" not in capsys.readouterr().out


def test_the_first_person_added_makes_a_shop_that_nobody_else_on_the_machine_reads(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = os.umask(0)
    try:
        monkeypatch.setattr("sys.stdin", io.StringIO("correct horse 7\n"))
        assert cli.main(["user", "add", "maria", "--role", "owner"]) == 0
        shop = RunningShop.open(f"sqlite:///{folder / 'shop.db'}")
        with shop.writing(CONSOLE) as desk:
            desk.bump("notes")
        assert cli.main(["backup", str(tmp_path / "copy.db")]) == 0
        assert cli.main(["export", str(tmp_path / "all.jsonl")]) == 0
    finally:
        os.umask(before)
    ours = [folder, *folder.iterdir(), *tmp_path.glob("copy.db*"), tmp_path / "all.jsonl"]
    assert len(ours) == 7  # with the write-ahead file and its index, and the copy's sheet
    assert {stat.S_IMODE(one.stat().st_mode) for one in ours} == {0o700, 0o600}
    assert [one.name for one in ours if stat.S_IMODE(one.stat().st_mode) == 0o700] == ["data"]
    shop.close()


def test_a_folder_that_only_the_shop_uses_is_closed_and_one_that_others_use_is_not(tmp_path: Path) -> None:
    for name, content, mode in (("ours", "demo.db", 0o700), ("shared", "letter.txt", 0o755)):
        (tmp_path / name).mkdir()
        (tmp_path / name / content).touch()
        (tmp_path / name).chmod(0o755)
        RunningShop.open(f"sqlite:///{tmp_path / name / 'shop.db'}").close()
        assert stat.S_IMODE((tmp_path / name).stat().st_mode) == mode


def test_an_export_goes_on_while_a_file_waits_and_is_whole_or_not_there(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shop = RunningShop.open(f"sqlite:///{folder / 'shop.db'}")
    with shop.writing(CONSOLE) as desk:
        import_preview.keep_waiting(desk, "history", "old.csv", b"\xff\xfe\x00")
    shop.close()
    target = tmp_path / "all.jsonl"
    assert cli.main(["export", str(target)]) == 0
    whole = target.read_bytes()
    assert {json.loads(line).get("table") for line in whole.splitlines()} >= {"shop", "diagnostic_check"}
    with monkeypatch.context() as patch:
        patch.setattr("json.dumps", broken_after_some())
        assert cli.main(["export", str(target)]) == 1
    assert "Nothing was written" in capsys.readouterr().err
    assert target.read_bytes() == whole
    assert [file.name for file in tmp_path.iterdir() if "unfinished" in file.name] == []


def broken_after_some() -> object:
    real, left = json.dumps, iter(range(20))

    def dumps(*said: object, **how: object) -> str:
        if next(left, None) is None:
            raise OSError(28, "No space left on device")
        return real(*said, **how)  # type: ignore[arg-type]  # handed on

    return dumps


def test_one_server_has_a_shop_and_the_next_one_and_a_restore_are_told_who(
    start_server: StartServer,
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    server = start_server()
    monkeypatch.delenv("BEFOREFLASH_DATABASE_URL", raising=False)
    monkeypatch.setenv("BEFOREFLASH_DATA", str(server.folder))
    assert cli.main(["backup", str(tmp_path / "copy.db")]) == 0
    for typed in (["serve", "--port", "65001"], ["restore", str(tmp_path / "copy.db")]):
        assert cli.main(typed) == 1
        assert f"`beforeflash serve`, process {server.process.pid} on " in capsys.readouterr().err
    server.kill()
    assert cli.main(["restore", str(tmp_path / "copy.db")]) == 0


def test_a_backup_killed_at_any_moment_leaves_the_shop_and_never_half_a_copy(
    folder: Path, tmp_path: Path, sqlite_template: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder.mkdir(parents=True)
    shutil.copyfile(sqlite_template, folder / "shop.db")
    for run in killed_runs(folder.parent, tmp_path / "killed", 5, "backup", "{work}/copy.db"):
        monkeypatch.setenv("BEFOREFLASH_DATA", str(run / "data"))
        assert answers(run / "data")
        assert cli.main(["backup", str(run / "another.db")]) == 0
        assert list(run.rglob("*unfinished*")) == []
        if (run / "copy.db").exists():
            assert (run / "copy.db.check").exists()
            assert cli.main(["restore", str(run / "copy.db")]) == 0


def test_an_upgrade_killed_at_any_moment_leaves_the_old_tables_or_todays(
    folder: Path, tmp_path: Path
) -> None:
    folder.mkdir(parents=True)
    a_shop_of("0003", folder / "shop.db")
    runs = killed_runs(folder.parent, tmp_path / "killed", 5, "token", "owner")
    assert all(answers(run / "data") for run in runs)


def test_a_night_killed_at_any_moment_loses_no_copy_that_is_to_be_kept(
    folder: Path, tmp_path: Path, sqlite_template: Path
) -> None:
    """Nine nights lie there; with this one, the two oldest may go and the seven newest may not."""
    folder.mkdir(parents=True)
    shutil.copyfile(sqlite_template, folder / "shop.db")
    shop = RunningShop.open(f"sqlite:///{folder / 'shop.db'}")
    one = folder / "backups" / backups.back_up_nightly(shop)
    shop.close()
    nights = [f"shop-202603{day:02}-120000-nightly.db" for day in range(9, 16)]  # one week, one month
    for name in (*nights, "shop-20260302-120000-nightly.db", "shop-20260303-120000-nightly.db"):
        shutil.copyfile(one, folder / "backups" / name)
        shutil.copyfile(f"{one}.check", folder / "backups" / f"{name}.check")
    for file in (one, Path(f"{one}.check")):
        file.unlink()
    for run in killed_runs(folder.parent, tmp_path / "killed", 5, "nightly"):
        shop = RunningShop.open(f"sqlite:///{run / 'data' / 'shop.db'}")
        backups.back_up_nightly(shop)
        with shop.reading(CONSOLE) as desk:
            lines = backups.read_backups(desk).lines
        shop.close()
        assert [line.name for line in lines if line.fault] == []
        assert {line.name for line in lines[1:]} >= {*nights[1:], "shop-20260303-120000-nightly.db"}
        assert lines[0].name > "shop-2026031"
        assert list(run.rglob("*unfinished*")) == []
