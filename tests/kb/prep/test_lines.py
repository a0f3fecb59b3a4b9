"""One line for each measured thing, with the window bound to it from wherever it is printed.

12.4 and 15.5 V (24.8 and 31 on 24 V) are the shop floor's ends of the possible.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.errors import BadInput
from kb.prep.limits import Thing, read_value
from kb.prep.line_standing import must_be_right, standing
from kb.prep.lines import AsPrinted, PrepLine, PrintedLine, read_lines
from kb.prep.things_measured import sentences_of_programming
from kb.words.printed_windows import Window

STARTING = (
    PrepLine("battery_rested", "battery", "rested", "practice", "V", thing=Thing.RESTED),
    PrepLine("support_voltage", "battery", "support on", "practice", "V", thing=Thing.SUPPORT),
    PrepLine("ripple", "battery", "ripple", "practice", "mV", thing=Thing.RIPPLE),
    PrepLine("chocked", "cabin", "Wheels chocked", "practice"),
)


def printed(*texts: str, unit: str = "") -> tuple[PrintedLine, ...]:
    return tuple(PrintedLine(f"p-{n}", "battery", text, f"page {n}", unit) for n, text in enumerate(texts, 1))


def lines(
    *texts: str, unit: str = "", prose: str = "", confirmed: tuple[str, ...] = ()
) -> dict[str, PrepLine]:
    said = AsPrinted(printed(*texts, unit=unit), printed(prose) if prose else (), confirmed)
    return {one.key: one for one in read_lines(said, STARTING, ask_ripple=False)}


def test_the_window_stands_on_the_support_line_and_the_rest_of_the_sentence_is_still_read() -> None:
    found = lines("Support voltage 13.2 to 13.8 V for the whole session, wired internet, 20 GB free.")
    assert list(found) == ["battery_rested", "support_voltage", "p-1", "chocked"]
    assert found["support_voltage"].window == Window(13.2, 13.8)
    assert found["support_voltage"].ends == (13.2, 13.8)
    assert "page 1" in found["support_voltage"].source
    assert found["battery_rested"].window is None


def test_a_line_that_prints_the_window_alone_is_not_said_twice() -> None:
    assert "p-1" not in lines("Support voltage 13.2 to 13.8 V.")
    assert "p-1" not in lines("Support voltage 13.2 to 13.8", unit="V")
    assert lines("Support voltage 13.2 to 13.8", unit="V")["support_voltage"].window == Window(13.2, 13.8)


def test_bulletin_and_make_hold_both() -> None:
    found = lines("Hold 13.0 to 14.0 V", "Support voltage at least 13.4 V")
    assert found["support_voltage"].window == Window(13.4, 14.0)
    assert found["support_voltage"].source == "practice; page 1; page 2"


def test_one_printed_end_is_closed_by_what_is_possible() -> None:
    assert lines("Support at least 13.0 V")["support_voltage"].ends == (13.0, 15.5)
    assert lines("Support not above 15 V")["support_voltage"].ends == (12.4, 15.0)


def test_running_text_is_read_for_support_and_for_nothing_else() -> None:
    prose = (
        "Cranking drops battery voltage below 9 V. Maintain 13.0 to 14.5 V while programming. Stalls cold."
    )
    (about,) = sentences_of_programming(prose)
    assert about == "Maintain 13.0 to 14.5 V while programming."
    assert lines(prose=about)["support_voltage"].window == Window(13.0, 14.5)
    assert lines(prose="Do not program below 9 V.")["support_voltage"].window is None
    assert not [key for key in lines(prose="Program below 40 °F.") if key.startswith("temperature")]


def test_temperatures_are_measured_lines_of_their_own_one_for_each_thing() -> None:
    found = lines(
        "Coolant below 158 \u00b0F before starting.",
        "Support voltage 13.0 to 14.0 V, fluid 86 to 122 \u00b0F, one module at a time.",
        "Fluid temperature between 90 and 130 \u00b0F.",
    )
    assert found["temperature_coolant"].window == Window(high=158, below=True)
    assert found["temperature_fluid"].window == Window(90, 122)
    assert {"p-2"} == {key for key in found if key.startswith("p-")}


def test_ripple_is_asked_where_it_is_printed_and_read_in_millivolts() -> None:
    assert "ripple" not in lines("Support voltage 13.0 to 14.0 V")
    assert lines("Ripple below 0.1 V")["ripple"].window == Window(high=100, below=True)
    assert lines("Ripple below 0.1 V")["support_voltage"].window is None


def test_24_volts_follow_from_what_is_printed() -> None:
    found = lines("Hold 26.0 to 28.5 V")["support_voltage"]
    assert found.window == Window(26.0, 28.5)
    assert read_value("27.2", "V", found.limits) == 27.2
    assert (read_value("13,5", "V"), read_value("1,350 mV", "mV"), read_value("61,200", "mi")) == (
        13.5,
        1350,
        61200,
    )
    for wrong in ("24.7", "13.5", "31.1"):
        with pytest.raises(BadInput):
            read_value(wrong, "V", found.limits)
    both_kinds = lines("13.0 to 14.8 V, trucks of 24 V 26.0 to 28.5 V")["support_voltage"]
    assert both_kinds.window == Window(13.0, 14.8)


def test_a_window_past_the_possible_counts_once_it_is_confirmed() -> None:
    text = "Support voltage 11.8 to 12.6 V"
    doubted = lines(text)["support_voltage"]
    assert (doubted.window, [one.printed for one in doubted.beyond]) == (None, [text])
    with pytest.raises(BadInput):
        read_value("11.9", "V", doubted.limits)
    sure = lines(text, confirmed=("support  voltage 11.8 to 12.6 v",))["support_voltage"]
    assert (sure.window, sure.beyond) == (Window(11.8, 12.6), ())
    must_be_right(sure, read_value("11.9", "V", sure.limits))


@given(
    st.sampled_from(("", "Hold 13.0 to 14.8 V", "At least 12.6 V", "12.5-15.4 volts", "11.0 to 12.0 V")),
    st.integers(0, 400),
)
def test_nothing_printed_lets_in_what_cannot_be(text: str, tenths: int) -> None:
    """Unless a lead confirmed it, a value is taken only within 12.4 to 15.5 and within its window."""
    line, value = lines(text)["support_voltage"] if text else lines()["support_voltage"], tenths / 10
    try:
        must_be_right(line, read_value(str(value), "V", line.limits))
        taken = True
    except BadInput:
        taken = False
    assert taken == (12.4 <= value <= 15.5 and (line.window is None or line.window.holds(value)))


def test_a_rested_battery_under_12_4_is_charged_first_and_what_it_read_may_be_kept() -> None:
    line = lines()["battery_rested"]
    with pytest.raises(BadInput, match="charge first") as refused:
        must_be_right(line, read_value("11.9", "V", line.limits))
    assert "measured" in refused.value.fields
    assert standing(line, "tech", "11.9", "battery is being replaced").settled
    assert "support off" in standing(line, "tech", "13.5", "").says


def test_a_value_kept_from_before_is_held_against_what_is_printed_today() -> None:
    assert standing(lines()["support_voltage"], "tech", "12.6", "").settled
    assert standing(lines()["support_voltage"], "tech", "12.6", "").inside is None
    assert "No window is known" in standing(lines()["support_voltage"], "", "", "").says
    printed_since = lines("Hold 13.0 to 14.8 V")["support_voltage"]
    assert not standing(printed_since, "tech", "12.6", "").settled
    assert standing(printed_since, "tech", "13.6", "").inside
    assert not standing(printed_since, "tech", "11.0", "").settled


def test_voltage_is_read_with_a_comma_and_what_cannot_be_is_asked_back() -> None:
    limits = lines()["support_voltage"].limits
    assert read_value("13,5", "V", limits) == read_value(" 13.5 V ", "V", limits) == 13.5
    with pytest.raises(BadInput, match=r"Is it 13\.5\?"):
        read_value("135", "V", limits)
    for wrong in ("11.9", "12.39", "15.51", "-13", "a", ""):
        with pytest.raises(BadInput) as refused:
            read_value(wrong, "V", limits)
        assert "measured" in refused.value.fields
