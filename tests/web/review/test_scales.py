"""Ticks and month labels: published examples, and what any axis must keep."""

from __future__ import annotations

import calendar
import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from web.pictures.scales import NARROW, WIDE, Label, Span, labels_of, nice_ticks, years_of

NAMES = calendar.month_abbr[1:]
LETTER = 8.0
"""Pixels of a letter of 12 px text at most: DejaVu Sans, the widest system font, has digits of .636 em."""
JANUARY = 2024 * 12


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [
        # The two examples that open Heckbert (1990): 105 to 543 is plotted from 100 to 600 by 100s,
        # 2.04 to 2.16 from 2.00 to 2.20 by .05.
        (105, 543, (100, 200, 300, 400, 500, 600)),
        (2.04, 2.16, (2.0, 2.05, 2.1, 2.15, 2.2)),
        # By hand: room 24 is 50 at least, 50/4 = 12.5 is nearest to 10, from -1 * 10 to 2 * 10.
        (-6, 18, (-10, 0, 10, 20)),
        # By hand: room 1 is 1, 1/4 = .25 is nearest to .2.
        (0, 1, (0, 0.2, 0.4, 0.6, 0.8, 1)),
        # By hand: no room is taken for 1.
        (3, 3, (3, 3.2)),
    ],
)
def test_ticks_are_the_nice_numbers_of_the_published_method(
    low: float, high: float, expected: tuple[float, ...]
) -> None:
    assert nice_ticks(low, high) == pytest.approx(expected)


@given(st.floats(-1e6, 1e6), st.floats(1e-3, 1e6), st.integers(3, 9))
def test_ticks_span_their_numbers_in_even_steps_of_1_2_or_5(low: float, room: float, about: int) -> None:
    ticks = nice_ticks(low, low + room, about)
    step = ticks[1] - ticks[0]
    assert ticks[0] <= low + 1e-9 * (abs(low) + room)
    assert ticks[-1] >= low + room - 1e-9 * (abs(low) + room)
    assert all(b - a == pytest.approx(step, rel=1e-6, abs=1e-6) for a, b in pairwise(ticks))
    assert 2 <= len(ticks) <= 1.5 * about + 2


@given(st.integers(0, 40), st.integers(0, 4000))
def test_whole_things_are_counted_in_whole_steps(down: int, up: int) -> None:
    ticks = nice_ticks(-down, up, least=1)
    assert 0 in ticks
    assert all(tick == int(tick) for tick in ticks)


@given(st.floats(0, 100), st.floats(0.1, 100), st.floats(-1e3, 1e3))
def test_nothing_stands_beyond_the_ends_of_a_span(low: float, room: float, value: float) -> None:
    place = Span(low, low + room, 200, 20).at(value)
    assert 20 <= place <= 200
    assert math.isfinite(place)


def apart(labels: list[Label], slots: int, width: float) -> bool:
    """Whether the words keep off each other when `slots` share so many pixels."""
    ends = [
        ((one.slot + 0.5) * width / slots - LETTER * len(one.words) / 2, LETTER * len(one.words))
        for one in sorted(labels, key=lambda one: one.slot)
    ]
    return all(left + wide <= other for (left, wide), (other, _) in pairwise(ends))


@given(st.integers(1, 60), st.integers(0, 11))
def test_months_and_years_below_the_axis_never_overlap(slots: int, start: int) -> None:
    months = range(JANUARY + start, JANUARY + start + slots)
    for labels in (labels_of(months, NAMES), years_of(months)):
        narrow, wide = [one for one in labels if not one.roomy], list(labels)
        assert apart(narrow, slots, NARROW)
        assert apart(wide, slots, WIDE)
        assert wide
        assert narrow
        assert all(0 <= one.slot < slots for one in wide)


def test_the_labels_of_some_axes_by_hand() -> None:
    """250 px: 25 months have 10 each, so every sixth is written (3 would have 30 px, and 32 are needed)."""
    one = range(JANUARY + 4, JANUARY + 5)
    assert labels_of(one, NAMES) == (Label(0, "May"),)
    assert years_of(one) == (Label(0, "2024"),)
    two_years = range(JANUARY + 10, JANUARY + 35)
    narrow = [(label.slot, label.words) for label in labels_of(two_years, NAMES) if not label.roomy]
    assert narrow == [(2, "Jan"), (8, "Jul"), (14, "Jan"), (20, "Jul")]
    assert years_of(two_years) == (Label(0, "2024", roomy=True), Label(2, "2025"), Label(14, "2026"))
