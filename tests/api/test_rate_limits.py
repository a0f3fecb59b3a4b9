from __future__ import annotations

from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from api import rate_limits
from api.rate_limits import Rate, RateLimit

RATE = Rate(5, 60)
gaps = st.lists(st.floats(0, 100, allow_nan=False), min_size=1, max_size=60)


class Hand:
    """A clock that a test turns by hand."""

    now = 0.0

    def __call__(self) -> float:
        return self.now


@given(gaps)
def test_in_no_stretch_of_time_do_more_come_in_than_its_share(waits: list[float]) -> None:
    """Token bucket, burst 5 and 5 a minute: in any stretch of s seconds at most 5 + s/12."""
    clock = Hand()
    limit = RateLimit(RATE, clock)
    let_in = []
    for wait in waits:
        clock.now += wait
        if limit.take("somebody") == 0:
            let_in.append(clock.now)
    for (first, start), (last, end) in combinations(enumerate(let_in), 2):
        assert last - first + 1 <= 5 + (end - start) / 12 + 1e-6


@given(gaps)
def test_whoever_waits_as_long_as_told_comes_in(waits: list[float]) -> None:
    clock = Hand()
    limit = RateLimit(RATE, clock)
    for wait in waits:
        clock.now += wait
        told = limit.take("somebody")
        if told:
            clock.now += told + 1e-6
            assert limit.take("somebody") == 0


def test_one_persons_knocking_shuts_nobody_else_out() -> None:
    limit = RateLimit(RATE, Hand())
    assert [limit.take("a") > 0 for _ in range(7)] == [False] * 5 + [True] * 2
    assert limit.take("b") == 0


def test_many_addresses_do_not_fill_the_memory() -> None:
    limit = RateLimit(RATE, Hand())
    for number in range(3 * rate_limits._MOST_KEYS):
        limit.take(f"address {number}")
    assert len(limit._buckets) <= rate_limits._MOST_KEYS
