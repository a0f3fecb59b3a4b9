"""The hues of both themes: text on its grounds, and the pictures also without color."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from itertools import product
from pathlib import Path

import pytest

from kb.desk.review.curves import CurveDay, UpdateCurve
from kb.desk.review.review_tables import QuarterRow
from kb.outcomes.advice_audit import ReliabilityBin
from tests.web.drawings import month, point, root_of, table_of
from web.pictures import curve, funnel, months, reliability

STATIC = Path(__file__).parents[2] / "web/static"
Color = tuple[int, ...]
Gray = Callable[[Color], Color]


def hues() -> dict[str, tuple[Color, Color]]:
    """Each hue of the style sheet, in light and in dark."""
    css = (STATIC / "beforeflash.css").read_text("utf-8")
    pairs = re.findall(r"--(\w+): light-dark\((#\w{6}), (#\w{6})\)", css)
    return {name: (channels(light), channels(dark)) for name, light, dark in pairs}


def channels(hue: str) -> Color:
    return tuple(int(hue[place : place + 2], 16) for place in (1, 3, 5))


def luminance(color: Color) -> float:
    """Relative luminance: WCAG 2.2 (https://www.w3.org/TR/WCAG22/#dfn-relative-luminance)."""
    parts = [part / 255 for part in color]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return sum(weight * part for weight, part in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def contrast(one: Color, other: Color) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def as_seen(color: Color) -> Color:
    return color


def by_rec_601(color: Color) -> Color:
    """Gray as many printers make it: luma of ITU-R BT.601."""
    return (round(sum(w * part for w, part in zip((0.299, 0.587, 0.114), color, strict=True))),) * 3


def by_rec_709(color: Color) -> Color:
    """Gray as the grayscale filter of CSS makes it (Filter Effects 1): weights of BT.709."""
    return (round(sum(w * part for w, part in zip((0.2126, 0.7152, 0.0722), color, strict=True))),) * 3


def test_the_measure_gives_the_published_ratios() -> None:
    """Black on white is 21:1 by definition; #767676 is the lightest gray of 4.5:1 on white (common knowledge
    of the trade, from memory: 4.54).
    """
    assert contrast((0, 0, 0), (255, 255, 255)) == pytest.approx(21)
    assert contrast(channels("#767676"), (255, 255, 255)) == pytest.approx(4.54, abs=0.005)


@pytest.mark.parametrize("theme", [0, 1], ids=["light", "dark"])
def test_text_stands_out_from_its_ground(theme: int) -> None:
    """WCAG 2.2, 1.4.3: 4.5 to 1 for text, 1.4.11: 3 to 1 for the edges of controls."""
    tone = {name: pair[theme] for name, pair in hues().items()}
    pairs = [
        (text, ground, 4.5) for text, ground in product(("ink", "soft", "blue", "warm"), ("paper", "card"))
    ]
    pairs += [("ink", "wash", 4.5), ("paper", "ink", 4.5), ("edge", "card", 3.0)]
    assert [pair for *pair, least in pairs if contrast(tone[pair[0]], tone[pair[1]]) < least] == []


@pytest.mark.parametrize("gray", [as_seen, by_rec_601, by_rec_709], ids=["color", "print", "filter"])
@pytest.mark.parametrize("theme", [0, 1], ids=["light", "dark"])
def test_the_marks_of_pictures_stand_out_from_what_they_touch(theme: int, gray: Gray) -> None:
    """WCAG 2.2, 1.4.11: 3 to 1. Columns, lines, diamonds, triangles and edges on the sheet and on pale bands;
    cured (blue) beside not known (wash).
    """
    tone = {name: gray(pair[theme]) for name, pair in hues().items()}
    pairs = product(("blue", "soft", "warm", "ink"), ("card", "wash"))
    assert [pair for pair in pairs if contrast(tone[pair[0]], tone[pair[1]]) < 3] == []


def test_whatever_a_picture_is_made_of_has_its_style() -> None:
    """A class without a rule would be drawn in black, in both themes."""
    rows = [point("A", 9, 0.5, flagged=True), point("B", 9, 0.5, alarm=True), point("C", 9, 0.5)]
    quarter = QuarterRow(date(2026, 1, 1), 9, 0, 0.5, (0.2, 0.8))
    some_months = [month(2025 * 12 + 10 + place, 1, 1, 1) for place in range(30)]
    drawn = (
        funnel.drawn(table_of(rows)),
        months.drawn(some_months, [quarter], 0.6),
        curve.drawn(UpdateCurve(90, 0.9, (CurveDay(0, 1, 0, 1, 1, 1),), ((0, 1),), ((0, 1.0),))),
        reliability.drawn((ReliabilityBin(0, 1, 3, 0.5, 0.5, (0.2, 0.8)),)),
    )
    elements = [one for picture in drawn for one in root_of(picture).iter()]
    used = {name for one in elements for name in one.attrib.get("class", "").split()}
    shapes = [one for one in elements if one.tag in ("path", "rect", "line")]
    assert len(used) > 10
    assert [one.attrib for one in shapes if "class" not in one.attrib] == []
    css = (STATIC / "parts.css").read_text("utf-8")
    assert [name for name in sorted(used) if not re.search(rf"\.{name}\b[^{{}}]*{{", css)] == []
