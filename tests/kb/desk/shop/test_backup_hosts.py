"""The night's copy of a shop on PostgreSQL: made by one of its hosts, told by all, and the shop again."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from kb.desk.context import CONSOLE, RunningShop, utc_now
from kb.desk.notes import notes
from kb.desk.shop import backup_and_restore, backup_turns, backups, health, out_and_in_again
from kb.errors import BadInput, NotDone
from kb.nouns.shop.health import Gravity
from tests.conftest import StandingClock
from tests.factories import actor_of, an_update

Hosts = tuple[RunningShop, RunningShop]


@pytest.fixture
def hosts(postgres_shop: RunningShop, clock: StandingClock, tmp_path: Path) -> Hosts:
    """Two, each with a data folder of its own. The clock begins at noon of October 31 in New York."""
    one, other = (
        RunningShop(postgres_shop.records, postgres_shop.facts, clock, tmp_path / name)
        for name in ("one", "other")
    )
    return one, other


def warned(shop: RunningShop) -> str:
    with shop.reading(CONSOLE) as desk:
        return backups.warning(desk)


def test_of_two_hosts_one_makes_it_and_another_stands_in(hosts: Hosts, clock: StandingClock) -> None:
    one, other = hosts
    assert backups.back_up_nightly(one) == "shop-20261031-160000-nightly.jsonl"
    assert backups.back_up_nightly(one) == backups.back_up_nightly(other) == ""
    clock.move(hours=14, minutes=10)  # 1:10 AM of standard time, then ten past two
    clock.move(hours=1)
    assert backups.back_up_nightly(other) == ""  # gives way to whoever has the nights before
    clock.move(hours=1)
    assert backups.back_up_nightly(other) == "shop-20261101-081000-nightly.jsonl"  # it is off
    clock.move(days=1)
    clock.move(minutes=-30)
    assert backups.back_up_nightly(one) == ""
    assert backups.back_up_nightly(other) != ""


def test_a_host_that_fails_says_so_on_all_and_another_makes_it(
    hosts: Hosts, clock: StandingClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    one, other = hosts
    with monkeypatch.context() as patch:
        patch.setattr("kb.records.whole_shop.exported_copy._write", _no_room)
        with pytest.raises(NotDone, match="No space left"):
            backups.back_up_nightly(one)
    assert "No space left" in warned(one)
    assert warned(one) == warned(other)
    assert backups.back_up_nightly(one) == ""  # not within the hour
    assert backups.back_up_nightly(other) != ""
    assert warned(one) == warned(other) == ""


def _no_room(*_: object) -> None:
    raise OSError(28, "No space left on device")


def test_a_host_that_died_over_it_is_told_and_replaced_within_the_hour(
    hosts: Hosts, clock: StandingClock
) -> None:
    one, other = hosts
    with one.writing(CONSOLE) as desk:
        assert backup_turns.take_turn(desk, "one")
    clock.move(minutes=59)
    assert (backups.back_up_nightly(other), warned(other)) == ("", "")
    clock.move(minutes=1)
    assert warned(other) == "The last backup failed. It was broken off before its end."
    assert backups.back_up_nightly(other) != ""
    assert warned(one) == ""


def test_every_host_tells_how_old_the_newest_is_and_where(hosts: Hosts, clock: StandingClock) -> None:
    one, other = hosts
    clock.move(days=4)
    assert warned(other) == "This shop has no backup and is 4 days old."
    assert health.last_backup(other).gravity is Gravity.WATCH
    name = backups.back_up_nightly(one)
    assert health.last_backup(one).says == f"The newest backup is less than two days old: {name}."
    assert health.last_backup(other).says.endswith(f"{name} on {backups._host(_shelf(one))}.")
    whole = health.newest_backup_is_whole(one)
    assert whole is not None
    assert whole.gravity is Gravity.FINE
    clock.move(days=5)
    assert warned(other) == "The newest backup of this shop is 5 days old."
    clock.move(days=-8)  # a copy of days to come vouches for nothing
    assert backups.back_up_nightly(other) != ""


def _shelf(shop: RunningShop) -> backups.Shelf:
    shelf = backups.shelf_of(shop.records.engine, shop.data_folder)
    assert shelf is not None
    return shelf


def test_a_clock_that_differs_from_the_databases_is_told(postgres_shop: RunningShop) -> None:
    def told(ahead: timedelta) -> str:
        records, facts = postgres_shop.records, postgres_shop.facts
        return health.clock(RunningShop(records, facts, lambda: utc_now() + ahead)).says

    assert told(timedelta(seconds=60)).endswith("are 60 s apart.")
    assert "after all that is on file" in told(timedelta())


def test_the_copy_comes_in_again_as_the_same_shop(hosts: Hosts, clock: StandingClock, tmp_path: Path) -> None:
    one, _ = hosts
    with one.writing(actor_of(one, "lead")) as desk:
        notes.write_note(desk, an_update())
    [copy] = [_shelf(one).folder / backups.back_up_nightly(one)]
    again = f"sqlite:///{tmp_path / 'again' / 'shop.db'}"
    out_and_in_again.bring_in(copy, again, clock())
    sheet = backup_and_restore.back_up(again, tmp_path / "copy.db", clock())
    held = backups.read_backups
    with one.reading(CONSOLE) as desk:
        [line] = held(desk).lines
    assert line.rows == {table: rows for table, rows in sheet.holds.tables.items() if table in line.rows}
    assert line.rows["note"] == 1
    url = one.records.engine.url.render_as_string(hide_password=False)
    with pytest.raises(BadInput, match=r"beforeflash export FILE.*pg_dump"):
        backup_and_restore.back_up(url, tmp_path / "other.db", clock())
    with pytest.raises(BadInput, match="import shop FILE"):
        backup_and_restore.put_back(copy, url, clock())
