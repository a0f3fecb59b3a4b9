"""The pictures of the review: marks where the numbers are, words escaped, nothing outside the sheet."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from datetime import date
from xml.etree import ElementTree as ET

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from kb.desk.memory import Memory
from kb.desk.review.curves import CurveDay, UpdateCurve
from kb.desk.review.review_tables import FunnelTable, QuarterRow
from kb.outcomes.advice_audit import ReliabilityBin
from tests.web.drawings import (
    Place,
    month,
    places,
    point,
    root_of,
    some_bins,
    some_curves,
    some_months,
    some_points,
    table_of,
    tag,
)
from web import pictures
from web.pictures import curve, funnel, months, reliability
from web.pictures.months import BOTTOM, SHARES, TOP
from web.pictures.names import LETTER, LINE, Mark, placed

NOT_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")
ANY_PICTURE = st.one_of(
    some_months().map(lambda all_of_it: months.drawn(*all_of_it)),
    some_points().map(funnel.drawn),
    some_curves().map(curve.drawn),
    some_bins().map(reliability.drawn),
)


@settings(max_examples=120)
@given(ANY_PICTURE)
def test_everything_is_drawn_inside_the_sheet_and_the_whole_is_named(drawn: str) -> None:
    """A mark may reach over its own middle by half of itself; half a word hangs over the ends of an axis."""
    root = root_of(drawn)
    height = float(root.attrib["height"])
    for place in places(root):
        assert all(math.isfinite(one) for one in (place.across, place.right, place.down))
        assert -0.01 <= place.across <= 100.01
        assert -12 <= place.right <= 12
        assert 0 <= place.down <= height
    ids = {one.attrib["id"]: one for one in root.iter() if "id" in one.attrib}
    assert tag(ids[root.attrib["aria-labelledby"]]) == "title"
    assert ids[root.attrib["aria-describedby"]].text
    assert not {tag(one) for one in root.iter()} & {"style", "script", "foreignObject", "image", "a"}
    assert not [name for one in root.iter() for name in one.attrib if name.startswith(("style", "on"))]


HOSTILE = st.one_of(
    st.text(), st.sampled_from(("</text><script>f()</script>", '"><b c="', "a&b;", "\x00\x1f"))
)


@given(some_points(HOSTILE))
def test_a_name_stays_words_whatever_is_written_in_it(table: FunnelTable) -> None:
    [_picture, *said] = [one.text or "" for one in root_of(funnel.drawn(table)).iter() if tag(one) == "title"]
    shown = [one.number or one.title for one in table.points if one.alarm or not one.too_early]
    assert sorted(words.rsplit(": ", 1)[0].rstrip() for words in said) == sorted(map(readable, shown))


def readable(name: str) -> str:
    """In one line, and without what no XML document may hold (https://www.w3.org/TR/xml/#charsets)."""
    return " ".join(NOT_XML.sub("\ufffd", name).split())


def of_class(root: ET.Element, kind: str) -> Iterator[ET.Element]:
    return (one for one in root.iter() if one.attrib.get("class") == kind)


def test_a_column_has_cured_above_the_line_unknown_on_top_and_failures_below() -> None:
    """By hand: -6 to 12 is 20 at least, by 5s, so the axis goes from -10 to 15: 25 over the whole height."""
    one = (BOTTOM - TOP) / 25
    zero = BOTTOM - 10 * one
    root = root_of(months.drawn([month(2026 * 12, cured=8, failed=6, waiting=4)], [], None))
    ends = {
        kind: (float(bar.attrib["y"]), float(bar.attrib["y"]) + float(bar.attrib["height"]))
        for kind in ("bar-cured", "bar-open", "bar-failed")
        for bar in of_class(root, kind)
    }
    assert ends["bar-cured"] == pytest.approx((zero - 8 * one, zero), abs=0.02)
    assert ends["bar-open"] == pytest.approx((zero - 12 * one, zero - 8 * one), abs=0.02)
    assert ends["bar-failed"] == pytest.approx((zero, zero + 6 * one), abs=0.02)
    assert [text.text for text in root.iter() if tag(text) == "text"][-2:] == ["Jan", "2026"]


def test_a_month_without_a_reflash_keeps_its_room_and_a_quarter_stands_over_its_months() -> None:
    """January and April of four: columns at 1/8 and 7/8, the mark of January to March at 3/8."""
    rows = [month(2026 * 12, cured=1), month(2026 * 12 + 3, cured=1)]
    quarters = [
        QuarterRow(date(2026, 1, 1), 9, 0, 0.5, (0.25, 0.75)),
        QuarterRow(date(2026, 4, 1), 0, 9, None, (0.0, 1.0)),
    ]
    root = root_of(months.drawn(rows, quarters, 0.8))
    lefts = [float(bar.attrib["x"].rstrip("%")) for bar in of_class(root, "bar-cured")]
    wides = [float(bar.attrib["width"].rstrip("%")) for bar in of_class(root, "bar-cured")]
    middles = [left + wide / 2 for left, wide in zip(lefts, wides, strict=True)]
    assert middles == pytest.approx([12.5, 87.5], abs=0.02)
    [mark] = [one for one in root.iter("svg") if [*of_class(one, "accent")] and "x" in one.attrib]
    assert (mark.attrib["x"], float(mark.attrib["y"])) == ("37.5%", SHARES.at(0.5))
    [shop] = of_class(root, "dashed")
    assert float(shop.attrib["y1"]) == SHARES.at(0.8)


def test_only_the_newest_sixty_months_are_drawn() -> None:
    rows = [month(2020 * 12 + place, cured=1) for place in range(70)]
    assert len([*of_class(root_of(months.drawn(rows, [], None)), "bar-cured")]) == 60


def test_the_curve_steps_down_on_the_day_with_the_shop_s_behind_it() -> None:
    """Day 45 of 90 is the middle; a share of .5 lies in the middle between 24 and 244 pixels."""
    days = (
        CurveDay(0, 9, 0, 1.0, 0.8, 1.0),
        CurveDay(45, 9, 1, 0.5, 0.25, 0.75),
        CurveDay(90, 4, 0, 0.5, 0.25, 0.75),
    )
    shop = ((0, 1.0), (90, 0.75))
    root = root_of(curve.drawn(UpdateCurve(90, 0.9, days, ((0, 9), (90, 4)), shop)))
    [own], [dashed] = ([*of_class(root, kind)] for kind in ("curve-line", "dashed"))
    assert own.attrib["d"] == "M0 24L50 24L50 134L100 134L100 134"
    assert dashed.attrib["d"] == "M0 24L100 24L100 79"
    drawn = [one.attrib.get("class") for one in root.iter() if tag(one) == "path"]
    assert drawn.index("dashed") < drawn.index("curve-line")


def test_alarms_and_what_lies_outside_bear_their_names_and_the_others_say_it_when_pointed_at() -> None:
    rows = [
        point("NV-1", 40, 0.9),
        point("NV-2", 60, 0.2, flagged=True),
        point("NV-3", 30, 0.6, alarm=True),
        point("NV-4", 5, 0.1, early=True),
    ]
    root = root_of(funnel.drawn(table_of(rows)))
    assert {one.text for one in of_class(root, "named")} == {"NV-2", "NV-3"}
    said = {one.text for one in root.iter() if tag(one) == "title"}
    assert "NV-1: 90% cured, 40 vehicles known" in said
    assert not [words for words in said if words and words.startswith("NV-4")]
    marks = {kind: len([*of_class(root, kind)]) for kind in ("accent", "solid", "alarm-mark")}
    assert marks == {"accent": 1, "solid": 1, "alarm-mark": 1}
    [desc] = [one.text for one in root.iter() if tag(one) == "desc"]
    assert desc is not None
    assert "1 outside what luck alone explains, 1 with an alarm" in desc


marks = st.builds(
    Mark,
    st.floats(0, 100),
    st.floats(32, 272),
    st.text("ABC-0123456789", min_size=1, max_size=20) | st.just(""),
)


@example([Mark(40, 100, "A-1"), Mark(40.8, 100, "B-22")])
@given(st.lists(marks, max_size=12))
def test_a_name_stands_by_its_mark_and_covers_no_other_at_any_width(all_marks: list[Mark]) -> None:
    names = placed(all_marks, 272)
    assert len(names) <= sum(bool(one.name) for one in all_marks)
    for width in (250, 300, 333, 420, 600, 777, 1000, 1200):
        boxes = [(*one.ends(width), one.middle) for one in names]
        for one, (left, right, middle) in zip(names, boxes, strict=True):
            nearest = min(max(width * one.mark.x / 100, left), right)
            assert math.hypot(nearest - width * one.mark.x / 100, middle - one.mark.y) <= 20
            assert left >= -0.01
            assert right <= width + 0.01
            assert right - left == pytest.approx(LETTER * min(len(one.mark.name), 16), abs=LETTER)
        for place, (left, right, middle) in enumerate(boxes):
            for other_left, other_right, other in boxes[:place]:
                apart = right <= other_left + 0.01 or other_right <= left + 0.01
                assert apart or abs(middle - other) >= LINE


def test_marks_of_what_was_said_are_larger_for_more() -> None:
    bins = (ReliabilityBin(0, 0.2, 1, 0.1, 0.2, (0, 1)), ReliabilityBin(0.8, 1, 100, 0.9, 0.8, (0.7, 0.9)))
    root = root_of(reliability.drawn(bins))
    tops = [float(one.attrib["d"].split()[1]) for one in of_class(root, "accent")]
    assert tops == [-5.6, -11.0]
    assert Place(10, 0, 0).across in {place.across for place in places(root)}


def test_a_picture_is_drawn_once_for_what_it_shows(monkeypatch: pytest.MonkeyPatch) -> None:
    drawn: list[object] = []
    monkeypatch.setattr(pictures, "PICTURES", {"months": lambda *shown: drawn.append(shown) or str(shown)})
    memory = Memory()
    first = pictures.of(memory, "months", (1,), 0.5)
    assert pictures.of(memory, "months", (1,), 0.5) is first
    assert pictures.of(memory, "months", (2,), 0.5) != first
    assert drawn == [((1,), 0.5), ((2,), 0.5)]
