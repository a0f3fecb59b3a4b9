"""Guessing: what reaches the check, whatever the number of processes, and who comes in all the same."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import datetime, timedelta

import pytest

from kb.desk.access import accounts, secrets, sign_ins, waits
from kb.desk.access.devices import STRANGER, Device, device_of
from kb.desk.access.passwords import chosen
from kb.desk.context import CONSOLE, RunningShop
from kb.errors import NotSignedIn, TooMany
from tests.conftest import StandingClock

pytestmark = pytest.mark.both_databases

PASSWORD = "correct horse 7"
HOUR = timedelta(hours=1)


@pytest.fixture
def maria(shop: RunningShop) -> int:
    with shop.writing(CONSOLE) as desk:
        return accounts.add_user(desk, "maria", "Maria", "owner", chosen(PASSWORD)).id


@pytest.fixture
def checks(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Every password that reached the check."""
    reached: list[str] = []
    fits = secrets.password_fits

    def counted(password: str, kept: str | None) -> bool:
        reached.append(password)
        return fits(password, kept)

    monkeypatch.setattr(secrets, "password_fits", counted)
    return reached


def guess(shop: RunningShop, name: str, tried: str = "", **came: str) -> str:
    """What a try came to: in, wrong, or wait."""
    try:
        sign_ins.sign_in(shop, name, tried, **came)
    except NotSignedIn:
        return "wrong"
    except TooMany:
        return "wait"
    return "in"


def most_in_an_hour(moments: list[datetime]) -> int:
    return max(sum(first <= one < first + HOUR for one in moments) for first in moments)


def test_two_processes_guess_for_hours_and_few_guesses_reach_the_check(
    shop: RunningShop, twin: RunningShop, maria: int, clock: StandingClock, checks: list[str]
) -> None:
    """Also a known name, by many addresses, by two processes; and meanwhile its person comes in at once."""
    known = sign_ins.sign_in(shop, "maria", PASSWORD).device_cookie
    reached: dict[str, list[datetime]] = {"maria": [], "nobody": []}
    for turn in range(65):
        for name, moments in reached.items():
            before = len(checks)
            assert guess((shop, twin)[turn % 2], name, address=f"10.0.{turn % 250}.1") != "in"
            moments += [clock.now] * (len(checks) - before)
        if turn % 30 == 0:
            assert guess(twin, "maria", PASSWORD, device_cookie=known) == "in"
        clock.move(minutes=2)
    minutes = [(one - reached["maria"][0]) // timedelta(minutes=1) for one in reached["maria"]]
    # By hand: one in two minutes; the third waits 1, the next ones 2, 4, 8, 16 and 32, then an hour each.
    assert minutes == [0, 2, 4, 6, 8, 12, 20, 36, 68, 128]
    assert reached["maria"] == reached["nobody"]
    assert most_in_an_hour(reached["maria"]) <= 20


def test_a_try_is_given_once_however_many_ask_for_it_at_the_same_moment(
    shop: RunningShop, twin: RunningShop, maria: int, clock: StandingClock, checks: list[str]
) -> None:
    for given in (3, 1, 1):
        with ThreadPoolExecutor(8) as many:
            came = list(many.map(lambda turn: guess((shop, twin)[turn % 2], "maria"), range(24)))
        assert sorted(set(came)) == ["wait", "wrong"]
        assert len(checks) == given == came.count("wrong")
        checks.clear()
        clock.move(minutes=2)


def test_a_device_that_its_person_signed_in_on_waits_by_itself(
    shop: RunningShop, maria: int, clock: StandingClock
) -> None:
    known = sign_ins.sign_in(shop, "maria", PASSWORD).device_cookie
    assert [guess(shop, "maria", device_cookie=known) for _ in range(4)] == [
        "wrong",
        "wrong",
        "wrong",
        "wait",
    ]
    assert guess(shop, "maria", PASSWORD, device_cookie=known) == "wait"
    assert guess(shop, "maria", PASSWORD) == "in"  # a stranger's tries are others
    clock.move(minutes=1)
    assert guess(shop, "maria", PASSWORD, device_cookie=known) == "in"
    assert guess(shop, "maria", device_cookie=known) == "wrong"  # begun anew


@pytest.mark.parametrize(
    "change", ["{said}.{signed}0", "x{said}.{signed}", "{said}-9.{signed}", "", ".", "a.b.c"]
)
def test_what_the_shop_did_not_sign_is_a_strangers(shop: RunningShop, maria: int, change: str) -> None:
    said, _, signed = sign_ins.sign_in(shop, "maria", PASSWORD).device_cookie.rpartition(".")
    with shop.reading() as desk:
        assert device_of(desk, f"{said}.{signed}", "").knows(maria)
        assert device_of(desk, change.format(said=said, signed=signed), "") == STRANGER


def test_many_names_from_one_address_wait_too_and_other_addresses_do_not(
    shop: RunningShop, maria: int, checks: list[str]
) -> None:
    came = [guess(shop, f"name{number}", address="2001:db8::5") for number in range(21)]
    assert came == ["wrong"] * 20 + ["wait"]
    assert guess(shop, "maria", PASSWORD, address="2001:db8::ffff:6") == "wait"  # one household's
    assert guess(shop, "maria", PASSWORD, address="2001:db8:0:1::5") == "in"


def test_a_clock_set_back_a_day_neither_opens_nor_locks(
    shop: RunningShop, maria: int, clock: StandingClock
) -> None:
    for _ in range(3):
        guess(shop, "maria")
    clock.move(days=-1)
    with shop.writing() as desk:
        assert waits.may_try(desk, "maria", STRANGER) == timedelta(minutes=1)
    clock.move(seconds=59)
    assert guess(shop, "maria", PASSWORD) == "wait"
    clock.move(seconds=1)
    assert guess(shop, "maria", PASSWORD) == "in"


def test_every_secret_has_tries_of_its_own_and_quiet_is_forgotten(
    shop: RunningShop, maria: int, clock: StandingClock
) -> None:
    tablet = Device("10.0.0.5", "tablet", (maria,))
    with shop.writing() as desk:
        for _ in range(3):
            assert waits.may_try(desk, "maria", tablet, waits.Guessed.PIN) == waits.NO_WAIT
        assert waits.may_try(desk, "maria", tablet, waits.Guessed.PIN) == timedelta(minutes=1)
        assert waits.may_try(desk, "maria", tablet) == waits.NO_WAIT
    clock.move(days=1)
    with shop.writing() as desk:
        for _ in range(3):
            assert waits.may_try(desk, "maria", tablet, waits.Guessed.PIN) == waits.NO_WAIT


def test_a_wrong_try_is_in_the_trail_without_password_name_or_whole_address(
    shop: RunningShop, maria: int
) -> None:
    for name in ("maria", "hunter2hunter2"):
        guess(shop, name, "wrong horse", address="192.168.7.41")
    with shop.reading() as desk:
        lines = desk.session.connection().exec_driver_sql("SELECT action, noun_id, detail FROM trail").all()
    wrong = [line for line in lines if line[0] == "gave a wrong password for"]
    assert [line[1] for line in wrong] == [maria, None]
    assert "192.168.7.0/24" in str(wrong)
    assert [word for word in ("hunter2", "wrong horse", "7.41") if word in str(lines)] == []
