"""Windows as they are printed: sentences written by hand give the numbers they were written from."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.words.printed_windows import Window, both, read_windows

TWO_ENDS = (
    "{low} to {high} V",
    "{low}-{high} volts",
    "Hold {low} V to {high} V for the whole session.",
    "between {low} and {high} V",
    "Keep support between {low} V and {high} V, key on.",
    "from {low} up to {high} VDC",
    "Support voltage {low}V\u2013{high}V at the posts",
    "12-volt support {low} to {high} V at the remote posts, charge cable out",
    "{low} \u2013 {high} volts DC, for 2 to 3 minutes",
    "({low}...{high} V)",
)
APART = (
    "at least {low} V and at most {high} V",
    "min. {low} V, max. {high} V",
    "{low} V min / {high} V max",
    "Never below {low} V or above {high} V",
    "not less than {low} volts and not more than {high} volts",
    "must not fall below {low} V and must not exceed {high} V",
    "no lower than {low} V and no higher than {high} V",
    "{low} V or more, {high} V or less",
)
LEAST = (
    "at least {end} V",
    "Support voltage of at least {end} volts",
    "minimum {end} V",
    "minimum voltage: {end} V",
    "{end} V minimum",
    "{end} V or higher",
    "not below {end} V",
    "Do not program with the battery below {end} V",
    "Stop if the voltage drops below {end} V",
    "\u2265 {end} V",
)
MOST = (
    "not above {end} V",
    "must not exceed {end} V",
    "at most {end} V",
    "up to {end} volts",
    "maximum of {end} V",
    "{end} V max.",
    "never over {end} V",
    "\u2264{end} V",
)
NO_WINDOW = (
    "Wait 2 to 3 minutes",
    "2.0 to 3.5 V6 engines",
    "a 12 V battery",
    "Hold 12-volt support as the programming instruction says.",
    "If below 13.0 V, charge first",
    "when above 15 V something is wrong",
    "2017 to 2019 models, V8",
    "Model years 13-15, 5.0 V8",
    "",
)

tenths = st.integers(124, 154)
written = st.sampled_from(("{:.1f}", "{:.2f}", "{:g}"))


def said(value: float, form: str, comma: bool) -> str:
    text = form.format(value)
    return text.replace(".", ",") if comma else text


@given(st.sampled_from(TWO_ENDS), tenths, st.integers(1, 30), written, st.booleans())
def test_a_range_is_read_however_it_is_printed(
    form: str, low: int, wide: int, number: str, comma: bool
) -> None:
    ends = (low / 10, (low + wide) / 10)
    text = form.format(low=said(ends[0], number, comma), high=said(ends[1], number, comma))
    (found,) = read_windows(text)
    assert (found.unit, found.window) == ("V", Window(*ends))
    assert found.window.holds(ends[0])
    assert found.window.holds(ends[1])
    assert not found.window.holds(ends[0] - 0.01)


@given(st.sampled_from(APART), tenths, st.integers(1, 30), written)
def test_two_ends_printed_apart_are_one_window(form: str, low: int, wide: int, number: str) -> None:
    ends = (low / 10, (low + wide) / 10)
    text = form.format(low=said(ends[0], number, False), high=said(ends[1], number, False))
    first, second = read_windows(text)
    assert both(first.window, second.window) == Window(*ends)


@given(st.sampled_from((*LEAST, *MOST)), tenths, written)
def test_one_end_is_read_on_its_right_side(form: str, end: int, number: str) -> None:
    (found,) = read_windows(form.format(end=said(end / 10, number, False)))
    assert found.window == (Window(low=end / 10) if form in LEAST else Window(high=end / 10))


@given(
    tenths, st.integers(1, 9), st.sampled_from(("\u00b1", "+/-", "+/\u2212", "plus or minus")), st.booleans()
)
def test_a_middle_and_how_far_off(middle: int, off: int, sign: str, unit_first: bool) -> None:
    text = f"{middle / 10} V {sign} 0.{off}" if unit_first else f"{middle / 10} {sign} 0.{off} volts"
    (found,) = read_windows(text)
    assert (found.window.low, found.window.high) == pytest.approx(((middle - off) / 10, (middle + off) / 10))


@pytest.mark.parametrize("text", NO_WINDOW)
def test_what_is_no_window_or_not_plain_is_none(text: str) -> None:
    assert read_windows(text) == ()


@pytest.mark.parametrize(
    ("text", "unit", "window"),
    [
        ("Coolant below 158 \u00b0F before starting.", "\u00b0F", Window(high=158, below=True)),
        ("Start only when the coolant is below 158 \u00baF", "\u00b0F", Window(high=158, below=True)),
        ("Fluid temperature between 86 and 122 \u00b0F.", "\u00b0F", Window(86, 122)),
        ("Ambient 50 degrees F or above", "\u00b0F", Window(low=50)),
        ("-10 to 30 \u00b0C in the bay", "\u00b0C", Window(-10, 30)),
        ("Ripple not above 100 mV", "mV", Window(high=100)),
        ("13.8 V \u00b1 2 %", "V", Window(13.524, 14.076)),
    ],
)
def test_other_units(text: str, unit: str, window: Window) -> None:
    (found,) = read_windows(text)
    assert (found.unit, found.window) == (unit, window)


def test_an_end_that_is_itself_outside_does_not_hold() -> None:
    assert not Window(high=158, below=True).holds(158)
    assert Window(high=158).holds(158)


@given(*[st.tuples(st.integers(0, 40), st.integers(0, 40)) for _ in range(2)], st.integers(0, 40))
def test_what_lies_in_both(one: tuple[int, int], other: tuple[int, int], value: int) -> None:
    windows = [Window(*sorted(map(float, ends))) for ends in (one, other)]
    met = both(*windows)
    assert (met is not None and met.holds(value)) == all(window.holds(value) for window in windows)


def test_nothing_lies_in_both_where_the_end_in_common_is_outside_one() -> None:
    assert both(Window(low=13.0, above=True), Window(high=13.0)) is None
    assert both(Window(low=13.0), Window(high=13.0, below=True)) is None
    assert both(Window(low=13.0), Window(high=13.0)) == Window(13.0, 13.0)
