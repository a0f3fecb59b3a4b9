"""Words of luck against published and hand-worked p-values, and against counting every split one by one."""

from __future__ import annotations

from math import comb

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.errors import BadInput
from kb.outcomes.month.luck import Luck, luck_of_counts, luck_of_shares


@pytest.mark.parametrize(
    ("now", "then", "said"),
    [
        (2, 10, Luck.MAYBE),  # 2 (1 + 12 + 66) / 2^12 = .0386
        (3, 9, Luck.LUCK),  # 2 (1 + 12 + 66 + 220) / 2^12 = .146
        (0, 11, Luck.MORE),  # 2 / 2^11 = .00098
        (0, 5, Luck.TOO_FEW),  # not even 2 / 2^5 = .0625 would be seldom
        (0, 0, Luck.TOO_FEW),
    ],
)
def test_two_counts_of_equal_spans_are_told_apart_as_a_coin_would(now: int, then: int, said: Luck) -> None:
    assert luck_of_counts(now, then, 30, 30) is said
    assert luck_of_counts(then, now, 30, 30) is said


def test_twice_the_count_in_twice_the_days_is_luck_and_no_days_are_refused() -> None:
    assert luck_of_counts(40, 20, 60, 30) is Luck.LUCK
    assert luck_of_counts(40, 20, 30, 30) is Luck.MAYBE  # scipy: binomtest(40, 60).pvalue = .0135
    with pytest.raises(BadInput, match="days"):
        luck_of_counts(1, 1, 0, 30)


def test_shares_of_published_tables() -> None:
    """Fisher (1935) ch. 2: 3 of 4 cups against 1 of 4, two-sided 34/70 = .486. Agresti, Categorical Data
    Analysis, 2nd ed., table 3.6 (from memory): 21 of 23 against 15 of 18, two-sided .638.
    """
    assert luck_of_shares(3, 4, 1, 4) is Luck.LUCK
    assert luck_of_shares(21, 23, 15, 18) is Luck.LUCK
    assert luck_of_shares(4, 4, 0, 4) is Luck.MAYBE  # 2/70 = .0286
    assert luck_of_shares(1, 3, 0, 3) is Luck.TOO_FEW
    assert luck_of_shares(2, 2, 5, 5) is Luck.TOO_FEW
    assert luck_of_shares(10, 20, 0, 30) is Luck.MORE


def split_by_split(now: int, of_now: int, then: int, of_then: int) -> float:
    """Fisher's two-sided p, by adding up every split that is no likelier."""
    failed, every = now + then, of_now + of_then
    ways = {
        one: comb(of_now, one) * comb(of_then, failed - one)
        for one in range(max(0, failed - of_then), min(failed, of_now) + 1)
    }
    return sum(one for one in ways.values() if one <= ways[now] * (1 + 1e-9)) / comb(every, failed)


@given(st.data())
def test_shares_agree_with_counting_every_split(data: st.DataObject) -> None:
    of_now, of_then = data.draw(st.integers(1, 25)), data.draw(st.integers(1, 25))
    now, then = data.draw(st.integers(0, of_now)), data.draw(st.integers(0, of_then))
    said, p = luck_of_shares(now, of_now, then, of_then), split_by_split(now, of_now, then, of_then)
    assert (said is Luck.MORE) == (p < 0.002)
    assert (said is Luck.MAYBE) == (0.002 <= p < 0.05)
