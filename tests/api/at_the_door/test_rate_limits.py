"""Calls of somebody unknown: one limit for all processes, counted in the database."""

from __future__ import annotations

from datetime import timedelta
from itertools import combinations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import event
from starlette.testclient import TestClient

from api import rate_limits
from api.rate_limits import Limits
from kb.desk.access.anonymous_calls import A_HANDFUL, AT_ONCE, GOOD_FOR
from kb.desk.context import RunningShop
from kb.records.store.rows import rows_where
from kb.records.tables import AnonymousCalls
from tests.conftest import StandingClock

pytestmark = pytest.mark.both_databases
FREE = timedelta()


def test_three_processes_let_in_together_what_one_may_and_writing_is_rare(
    shop: RunningShop, twin: RunningShop, clock: StandingClock
) -> None:
    """120 at once, then two a second, whichever process is asked; a write in ten calls, none when refused."""
    processes = [(shop, Limits()), (twin, Limits()), (twin, Limits())]
    written: list[str] = []
    for one in (shop, twin):
        event.listen(one.records.engine, "commit", lambda _: written.append("commit"))
    let_in = [limits.take(at, "203.0.113.9") == FREE for _ in range(200) for at, limits in processes]
    assert AT_ONCE - 2 * (A_HANDFUL - 1) <= sum(let_in) <= AT_ONCE
    assert len(written) <= AT_ONCE / A_HANDFUL + len(processes)
    clock.move(seconds=30)
    again = [limits.take(at, "203.0.113.9") == FREE for _ in range(200) for at, limits in processes]
    assert 60 - 2 * (A_HANDFUL - 1) <= sum(again) <= 60
    assert shop_limits_others(processes) == FREE


def shop_limits_others(processes: list[tuple[RunningShop, Limits]]) -> timedelta:
    at, limits = processes[0]
    return limits.take(at, "203.0.113.10")


@settings(max_examples=8, suppress_health_check=list(HealthCheck))
@given(st.lists(st.tuples(st.floats(0, 40), st.integers(0, 1), st.integers(1, 60)), min_size=1, max_size=8))
def test_in_no_stretch_do_two_processes_let_in_more_than_the_bucket_and_what_was_in_hand(
    sqlite_shop: RunningShop, clock: StandingClock, waits: list[tuple[float, int, int]]
) -> None:
    """A bucket of 120 that gains two a second lets in 120 + 2s; a handful in hand may be 10 s older."""
    clock.move(hours=1)
    one = sqlite_shop
    processes, let_in = (Limits(), Limits()), list[float]()
    begun = clock.now
    for wait, which, calls in waits:
        clock.move(seconds=wait)
        for _ in range(calls):
            told = processes[which].take(one, "203.0.113.9")
            if told == FREE:
                let_in.append((clock.now - begun).total_seconds())
            else:
                clock.move(seconds=told.total_seconds() + 1e-3)
                assert processes[which].take(one, "203.0.113.9") == FREE
                let_in.append((clock.now - begun).total_seconds())
    slack = GOOD_FOR.total_seconds() * 2
    for (first, start), (last, end) in combinations(enumerate(let_in), 2):
        assert last - first + 1 <= AT_ONCE + 2 * (end - start) + slack


def test_an_address_of_ipv6_is_counted_with_its_household_and_many_fill_no_memory(
    shop: RunningShop, clock: StandingClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(rate_limits, "_MOST_ADDRESSES", 5)
    limits = Limits()
    for number in range(200):
        limits.take(shop, f"2001:db8:0:7::{number:x}")
    assert limits.take(shop, "2001:db8:0:7::ffff") > FREE
    assert limits.take(shop, "2001:db8:0:8::1") == FREE
    for number in range(20):
        limits.take(shop, f"198.51.100.{number}")
    assert len(limits._in_hand) <= 5
    clock.move(minutes=2)
    limits.take(shop, "198.51.100.77")
    with shop.reading() as desk:
        assert len(rows_where(desk.session, AnonymousCalls)) == 1


def test_who_calls_too_often_is_told_when_to_come_back(client: TestClient) -> None:
    answers = [client.get("/api/me") for _ in range(AT_ONCE + 1)]
    assert {one.status_code for one in answers[:-1]} == {401}
    assert answers[-1].status_code == 429
    assert 1 <= int(answers[-1].headers["retry-after"]) <= 6
