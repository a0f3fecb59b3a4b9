"""The shop's backups by themselves: made once a night, thinned out, and missed aloud."""

from __future__ import annotations

import json
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from kb.desk.context import CONSOLE, RunningShop
from kb.desk.opening_database import only_server, server_lock
from kb.desk.shop import backup_and_restore, backups
from kb.errors import BadInput, Conflict, NotDone, Unreadable
from kb.records.files.one_holder import held
from tests.conftest import StandingClock
from tests.older import a_shop_of, of_a_program_to_come


def shelf_of(shop: RunningShop) -> Path:
    return Path(shop.records.engine.url.database or "").parent / "backups"


def copies(shop: RunningShop) -> list[str]:
    return sorted(file.name for file in shelf_of(shop).glob("*.db"))


def warned(shop: RunningShop) -> str:
    with shop.reading(CONSOLE) as desk:
        return backups.warning(desk)


def test_one_copy_a_night_however_often_it_looks_and_as_soon_as_the_computer_is_on(
    sqlite_shop: RunningShop, clock: StandingClock
) -> None:
    """The clock begins at noon of October 31 in New York (16:00 UTC)."""
    assert backups.back_up_nightly(sqlite_shop) == "shop-20261031-160000-nightly.db"
    clock.move(hours=13)  # 1 AM: still that night
    assert backups.back_up_nightly(sqlite_shop) == ""
    clock.move(hours=2)
    assert backups.back_up_nightly(sqlite_shop) == "shop-20261101-070000-nightly.db"
    clock.move(days=2, hours=5)  # switched off for two nights
    assert backups.back_up_nightly(sqlite_shop) == "shop-20261103-120000-nightly.db"
    assert backups.back_up_nightly(sqlite_shop) == ""
    assert len(copies(sqlite_shop)) == 3
    for file in [shelf_of(sqlite_shop), *shelf_of(sqlite_shop).iterdir()]:
        assert file.stat().st_mode & 0o077 == 0


def test_a_month_of_nights_is_thinned_out_and_those_by_hand_are_left_alone(
    sqlite_shop: RunningShop, clock: StandingClock
) -> None:
    with sqlite_shop.reading(CONSOLE) as desk:
        by_hand = backups.back_up_now(desk)
    for _ in range(40):
        clock.move(days=1)
        backups.back_up_nightly(sqlite_shop)
    nights = [name[5:13] for name in copies(sqlite_shop) if "nightly" in name]
    # The last is Thursday December 10: seven nights, Sundays November 29 and 22 and the 6th among the seven,
    # and the last of November.
    assert nights == ["20261122", "20261129", "20261130", *(f"202612{day:02}" for day in range(4, 11))]
    assert by_hand in copies(sqlite_shop)
    assert {file.name for file in shelf_of(sqlite_shop).glob("*.check")} == {
        f"{name}.check" for name in copies(sqlite_shop)
    }


def test_of_two_workers_one_makes_it(sqlite_shop: RunningShop, clock: StandingClock) -> None:
    backups.back_up_nightly(sqlite_shop)
    clock.move(days=1)
    lock = shelf_of(sqlite_shop) / "backups.lock"
    with held_by_another(lock):
        assert backups.back_up_nightly(sqlite_shop) == ""
        with sqlite_shop.reading(CONSOLE) as desk, pytest.raises(Conflict, match=r"elsewhere.*Try again"):
            backups.back_up_now(desk)
    assert backups.back_up_nightly(sqlite_shop) != ""


class held_by_another:  # noqa: N801  # reads as a sentence in `with`
    """A lock that another machine's process holds, as far as its words tell."""

    def __init__(self, lock: Path) -> None:
        self.lock, self.holding = lock, held(lock, "backup", datetime.now(UTC), "")

    def __enter__(self) -> None:
        self.holding.__enter__()
        said = {"command": "serve", "process": 7, "machine": "elsewhere", "since": "this morning"}
        self.lock.write_text(json.dumps(said))

    def __exit__(self, *_: object) -> None:
        self.holding.__exit__(None, None, None)


def test_a_copy_that_fails_is_said_until_one_succeeds_and_is_tried_again_after_an_hour(
    sqlite_shop: RunningShop, clock: StandingClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    backups.back_up_nightly(sqlite_shop)
    clock.move(days=1)

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("kb.records.files.checked_copy._copy_pages", full)
        with pytest.raises(NotDone, match=r"No space left on device. Free some room"):
            backups.back_up_nightly(sqlite_shop)
    assert "The last backup failed" in warned(sqlite_shop)
    assert "No space" in warned(sqlite_shop)
    assert backups.back_up_nightly(sqlite_shop) == ""  # not yet
    clock.move(minutes=61)
    assert backups.back_up_nightly(sqlite_shop) != ""
    assert warned(sqlite_shop) == ""
    assert len(copies(sqlite_shop)) == 2


def test_nothing_younger_than_three_days_is_said_to_whoever_answers_for_the_shop(
    sqlite_shop: RunningShop, clock: StandingClock
) -> None:
    clock.move(days=2, hours=23)
    assert warned(sqlite_shop) == ""  # a new shop has not had its first night
    clock.move(hours=1)
    assert warned(sqlite_shop) == "This shop has no backup and is 3 days old."
    backups.back_up_nightly(sqlite_shop)
    clock.move(days=2, hours=23)
    assert warned(sqlite_shop) == ""
    clock.move(days=2, hours=1)
    assert warned(sqlite_shop) == "The newest backup of this shop is 5 days old."


def test_a_copy_of_a_day_to_come_left_by_a_wrong_clock_stands_for_no_other(
    sqlite_shop: RunningShop, clock: StandingClock
) -> None:
    clock.move(days=900)
    backups.back_up_nightly(sqlite_shop)
    clock.move(days=-896)
    assert warned(sqlite_shop) == "This shop has no backup and is 4 days old."
    assert backups.back_up_nightly(sqlite_shop) != ""
    assert warned(sqlite_shop) == ""


def test_a_damaged_shop_is_not_copied_over_what_is_good(sqlite_shop: RunningShop) -> None:
    backups.back_up_nightly(sqlite_shop)
    file = shelf_of(sqlite_shop).parent / "shop.db"
    sqlite_shop.close()
    whole = file.read_bytes()
    file.write_bytes(whole[:100_000] + bytes(60_000) + whole[160_000:])
    with sqlite_shop.reading(CONSOLE) as desk, pytest.raises((Unreadable, NotDone)):
        backups.back_up_now(desk)
    assert len(copies(sqlite_shop)) == 1


def test_the_demo_makes_no_files(tmp_path: Path, clock: StandingClock) -> None:
    demo = RunningShop.open(f"sqlite:///{tmp_path}/demo.db", clock=clock, is_demo=True)
    clock.move(days=30)
    assert backups.back_up_nightly(demo) == ""
    with demo.reading(CONSOLE) as desk, pytest.raises(BadInput):
        backups.back_up_now(desk)
    assert warned(demo) == ""
    demo.close()
    assert not (tmp_path / "backups").exists()


@pytest.mark.parametrize("opened", [RunningShop.open, RunningShop.look_at])
def test_a_shop_of_a_newer_program_is_a_sentence(
    tmp_path: Path, sqlite_template: Path, opened: Callable[[str], RunningShop]
) -> None:
    shutil.copyfile(sqlite_template, tmp_path / "shop.db")
    of_a_program_to_come(tmp_path / "shop.db")
    with pytest.raises(Unreadable, match="newer version"):
        opened(f"sqlite:///{tmp_path}/shop.db")


def test_a_shop_of_an_older_program_is_backed_up_before_it_is_brought_up_to_date(tmp_path: Path) -> None:
    url = f"sqlite:///{a_shop_of('0004', tmp_path / 'shop.db')}"
    with pytest.raises(Conflict, match="Start `beforeflash serve` once"):
        RunningShop.look_at(url)
    assert backup_and_restore.back_up(url, tmp_path / "copy.db", datetime.now(UTC)).holds.schema == "0004"
    assert not (tmp_path / "backups").exists()
    RunningShop.open(url).close()
    [copy] = (tmp_path / "backups").glob("*-before-upgrade.db")
    with closing(sqlite3.connect(copy)) as database:
        assert database.execute("SELECT version_num FROM alembic_version").fetchall() == [("0004",)]
    RunningShop.look_at(url).close()


def test_an_older_shop_is_brought_up_to_date_by_its_server_and_by_nobody_beside_it(tmp_path: Path) -> None:
    file = a_shop_of("0004", tmp_path / "shop.db")
    url, now = f"sqlite:///{file}", datetime.now(UTC)
    with held_by_another(server_lock(file)), pytest.raises(Conflict, match=r"elsewhere.*Stop it first"):
        RunningShop.open(url)
    with only_server(url, "serve", now):
        RunningShop.open(url).close()
        with pytest.raises(Conflict, match="beforeflash serve"), only_server(url, "serve", now):
            pass
