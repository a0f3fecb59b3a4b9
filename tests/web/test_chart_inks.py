"""What a picture can be told by without its hues: lightness, outlines and names."""

from __future__ import annotations

import re
from collections.abc import Callable
from itertools import combinations
from math import hypot
from xml.etree import ElementTree as ET

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from web import charts

NEIGHBOURS = 3.0
"""Contrast ratio between any two inks that may touch: WCAG 2.2, success criterion 1.4.11."""

Gray = Callable[[tuple[int, ...]], tuple[int, ...]]

KINDS = ("cured", "waiting or not asked", "not cured")


def channels(hue: str) -> tuple[int, ...]:
    return tuple(int(hue[place : place + 2], 16) for place in (1, 3, 5))


def luminance(color: tuple[int, ...]) -> float:
    """Relative luminance: WCAG 2.2, definition in the glossary."""
    parts = [part / 255 for part in color]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return sum(weight * part for weight, part in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def contrast(one: tuple[int, ...], other: tuple[int, ...]) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def as_seen(color: tuple[int, ...]) -> tuple[int, ...]:
    return color


def by_rec_601(color: tuple[int, ...]) -> tuple[int, ...]:
    """Gray as many printers make it: luma of ITU-R BT.601."""
    return (round(sum(w * part for w, part in zip((0.299, 0.587, 0.114), color, strict=True))),) * 3


def by_rec_709(color: tuple[int, ...]) -> tuple[int, ...]:
    """Gray as the grayscale filter of CSS makes it (Filter Effects 1): weights of BT.709."""
    return (round(sum(w * part for w, part in zip((0.2126, 0.7152, 0.0722), color, strict=True))),) * 3


def elements(drawn: str, tag: str) -> list[ET.Element]:
    root = ET.fromstring(drawn)  # noqa: S314  # our own drawing
    return [one for one in root.iter() if one.tag.endswith("}" + tag)]


def test_the_measure_gives_the_published_ratios() -> None:
    """Black on white is 21:1 by definition; #767676 is the lightest gray of 4.5:1 on white (common knowledge
    of the trade, from memory: 4.54).
    """
    assert contrast((0, 0, 0), (255, 255, 255)) == pytest.approx(21)
    assert contrast(channels("#767676"), (255, 255, 255)) == pytest.approx(4.54, abs=0.005)


@pytest.mark.parametrize("gray", [as_seen, by_rec_601, by_rec_709], ids=["color", "print", "filter"])
@pytest.mark.parametrize("theme", list(charts.INKS))
def test_what_came_of_a_month_is_told_by_lightness_alone(theme: str, gray: Gray) -> None:
    rows = [{"month": "Jan 26", "what": what, "count": 3, "order": n} for n, what in enumerate(KINDS)]
    drawn = charts.svg(lambda ink: charts.months(rows, ink), theme, "narrow")
    bars = [one for one in elements(drawn, "path") if one.get("aria-roledescription") == "bar"]
    hues = {
        next(kind for kind in KINDS if f"what: {kind}" in bar.get("aria-label", "")): bar.get("fill", "")
        for bar in bars
    }
    assert sorted(hues) == sorted(KINDS)
    for one, other in combinations(hues.values(), 2):
        assert contrast(gray(channels(one)), gray(channels(other))) >= NEIGHBOURS, (theme, one, other)
    outlines = {bar.get("stroke", "") for bar in bars}
    for outline in outlines:
        assert contrast(gray(channels(outline)), gray(channels(charts.INKS[theme].card))) >= NEIGHBOURS


def place_of(one: ET.Element) -> tuple[float, float] | None:
    at = re.fullmatch(r"translate\(([-+\de.]+),([-+\de.]+)\)", one.get("transform", ""))
    return (float(at[1]), float(at[2])) if at else None


def marks_in(drawn: str) -> list[tuple[float, float]]:
    marks = [one for one in elements(drawn, "path") if one.get("aria-roledescription") == "point"]
    return [at for one in marks for at in [place_of(one)] if at]


def names_in(drawn: str) -> dict[str, tuple[float, float, str, str]]:
    """Each name of an update in the picture: where it is anchored, how, and its weight."""
    found = {}
    for one in elements(drawn, "text"):
        at = place_of(one)
        if at and (one.text or "").startswith("NV-"):
            anchor, weight = one.get("text-anchor", "start"), one.get("font-weight", "")
            found[one.text or ""] = (*at, anchor, weight)
    return found


def point(name: str, vehicles: int, rate: float, flagged: bool = False) -> dict[str, object]:
    return {"name": name, "vehicles": vehicles, "rate": rate, "low": 0.3, "high": 0.9, "flagged": flagged}


def test_the_marks_outside_and_the_lowest_and_highest_bear_their_names() -> None:
    rows = [
        point("NV-1", 40, 0.9),
        point("NV-2", 60, 0.2, flagged=True),
        point("NV-3", 30, 0.6),
        point("NV-4", 5, 0.1),
        point("NV-5", 2, 0.9),
    ]
    for theme in charts.INKS:
        drawn = names_in(charts.svg(lambda ink: charts.funnel(rows, 0.7, ink), theme, "narrow"))
        assert {name: weight == "bold" for name, (*_at, weight) in drawn.items()} == {
            "NV-1": False,
            "NV-2": True,
            "NV-4": False,
        }


@settings(max_examples=25)
@example([(1, 0.0, False), (1, 0.9999999999999999, False)], "wide")
@given(
    st.lists(st.tuples(st.integers(1, 300), st.floats(0, 1), st.booleans()), min_size=1, max_size=12),
    st.sampled_from(list(charts.SHEETS)),
)
def test_a_name_stands_by_its_mark_covers_no_other_and_leaves_no_picture(
    marks: list[tuple[int, float, bool]], size: str
) -> None:
    """A letter of a 12 px sans-serif is taken to be 7 px wide at most, as digits and capitals mostly are."""
    rows = [point(f"NV-{n:02}", vehicles, rate, flagged) for n, (vehicles, rate, flagged) in enumerate(marks)]
    picture = charts.svg(lambda ink: charts.funnel(rows, 0.7, ink), "light", size)
    drawn = names_in(picture)
    assert drawn
    spans = []
    points = marks_in(picture)
    for name, (x, y, anchor, _weight) in drawn.items():
        assert min(hypot(x - right, y - down) for right, down in points) <= 20
        left = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * 7 * len(name)
        assert left >= -1
        assert left + 7 * len(name) <= charts.SHEETS[size].width + 1
        spans.append((left, left + 7 * len(name), y))
    for one, other in combinations(spans, 2):
        assert one[1] <= other[0] + 1 or other[1] <= one[0] + 1 or abs(one[2] - other[2]) >= 12
