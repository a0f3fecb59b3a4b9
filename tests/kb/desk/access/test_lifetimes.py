"""How long a session holds, whatever becomes of the clock.

Limits: NIST SP 800-63B-4, 2.1.3 and 2.2.3 (from memory): 30 days at most overall, 24 hours at AAL2.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.desk.access import accounts, sessions, sign_ins, tokens
from kb.desk.access.device_words import device_words
from kb.desk.access.lifetimes import IDLE_AT_MOST, PIN_SESSION_LASTS, SESSION_LASTS, holds, is_idle
from kb.desk.access.passwords import chosen
from kb.desk.context import CONSOLE, RunningShop
from kb.nouns.people import at_most
from kb.records.tables import ApiToken
from tests.conftest import StandingClock
from tests.factories import actor_of

NOON = datetime(2026, 10, 31, 16, 0, tzinfo=UTC)
PASSWORD = "correct horse battery"
HOURS = st.integers(-24 * 400, 24 * 400)


def test_the_limits_are_within_what_the_source_asks_for() -> None:
    assert timedelta(days=30) >= SESSION_LASTS > IDLE_AT_MOST
    assert timedelta(hours=24) >= PIN_SESSION_LASTS


@given(st.lists(st.tuples(st.integers(0, 48), HOURS), max_size=12))
def test_no_session_outlives_its_limit_by_more_than_the_clock_was_set_back(
    steps: list[tuple[int, int]],
) -> None:
    """A twin that knows the true time: each step some hours pass, and the clock is set to any other time."""
    true, wrong = NOON, 0
    for passed, set_to in steps:
        true += timedelta(hours=passed)
        lived, shown = true - NOON, true + timedelta(hours=wrong)
        if holds(NOON, NOON + SESSION_LASTS, shown):
            assert lived < SESSION_LASTS + timedelta(hours=abs(wrong))
            assert abs(shown - NOON) < SESSION_LASTS
        if not is_idle(NOON, IDLE_AT_MOST, shown):
            assert abs(shown - NOON) < IDLE_AT_MOST
        wrong = set_to


def opened(shop: RunningShop) -> str:
    who = actor_of(shop, "lead")
    with shop.writing(CONSOLE) as desk:
        if not sessions.list_sessions(desk, who.user_id):
            accounts.set_password(desk, who.user_id, chosen(PASSWORD))
    return sign_ins.sign_in(shop, "lead", PASSWORD).cookie


def is_in(shop: RunningShop, cookie: str, *, used: bool = True) -> bool:
    with shop.writing() as desk:
        visitor = sessions.who_holds_cookie(desk, cookie)
        if visitor is not None and used and visitor.actor.came_by is not None:
            sessions.note_visit(desk, visitor.actor.came_by.row_id, "Mozilla/5.0 (Android) Chrome/1")
    return visitor is not None


def test_a_session_ends_after_four_days_without_use_and_seven_with(
    sqlite_shop: RunningShop, clock: StandingClock
) -> None:
    cookie, left = opened(sqlite_shop), opened(sqlite_shop)
    for _ in range(6):
        clock.move(days=1)
        assert is_in(sqlite_shop, cookie)
    assert not is_in(sqlite_shop, left)
    clock.move(hours=23, minutes=59)
    assert is_in(sqlite_shop, cookie)
    clock.move(minutes=1)
    assert not is_in(sqlite_shop, cookie)


def test_a_clock_set_back_a_day_signs_nobody_out_and_lets_nobody_stay_longer_than_a_day_more(
    sqlite_shop: RunningShop, clock: StandingClock
) -> None:
    cookie = opened(sqlite_shop)
    clock.move(days=-1)
    assert is_in(sqlite_shop, cookie)
    for _ in range(7):
        clock.move(days=1)
        assert is_in(sqlite_shop, cookie)
    clock.move(days=1)
    assert not is_in(sqlite_shop, cookie)
    ahead = opened(sqlite_shop)
    clock.move(days=-400)  # it had been wrong by more than a year
    assert not is_in(sqlite_shop, ahead)


def test_a_token_from_before_tokens_had_an_end_does_not_hold_without_one(sqlite_shop: RunningShop) -> None:
    actor_of(sqlite_shop, "lead")
    with sqlite_shop.writing(CONSOLE) as desk:
        token = tokens.new_token(desk, "lead")
        row = desk.session.get(ApiToken, 1)
        assert row is not None
        row.ends_at = None
        desk.session.flush()
        assert tokens.who_holds_token(desk, token) is None


@pytest.mark.parametrize(
    ("role", "highest", "left"),
    [
        ("owner", "tech", "tech"),
        ("lead", "owner", "lead"),
        ("tech", "lead", "tech"),
        ("admin", "tech", "admin"),
        ("owner", "admin", ""),
    ],
)
def test_the_lower_role_holds_and_an_unknown_one_may_nothing(role: str, highest: str, left: str) -> None:
    assert at_most(role, highest) == left


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ("Mozilla/5.0 (Linux; Android 14; K) Chrome/131.0 Safari/537.36", "Chrome on Android"),
        ("Mozilla/5.0 (iPad; CPU OS 17_0 like Mac OS X) Version/17.0 Safari/604.1", "Safari on iPad"),
        ("Mozilla/5.0 (Windows NT 10.0; Win64; x64) Chrome/131.0 Safari/537.36 Edg/131.0", "Edge on Windows"),
        ("python-httpx/0.28", "python-httpx"),
        ("", "a browser"),
        ("<script>" * 99, "a browser"),
    ],
)  # fmt: skip
def test_a_device_is_said_in_a_few_words(said: str, words: str) -> None:
    assert device_words(said) == words
