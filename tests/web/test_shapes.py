"""The pictures: marks stand where the numbers are, and say in words what they show."""

from __future__ import annotations

import itertools
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.nouns.advice import Evidence, EvidenceCounts, PlanNode, Zones
from web import shapes
from web.planpicture import plan_picture

chances = st.floats(0, 1)


@given(chances, chances, chances, chances, chances)
def test_zones_tile_the_strip_and_every_mark_stands_on_it(
    chance: float, a: float, b: float, c: float, d: float
) -> None:
    (low, high), (first, second) = sorted((a, b)), sorted((c, d))
    picture = shapes.strip(chance, (low, high), Zones(first, second))
    edges = [0.0]
    for zone in picture.zones:
        assert zone.left == pytest.approx(edges[-1])
        edges.append(zone.left + zone.width)
    assert edges[-1] == pytest.approx(100)
    marks = (picture.low, picture.chance, picture.high, *(tick.at for tick in picture.ticks))
    assert all(0 <= mark <= 100 for mark in marks)
    kinds = [zone.kind for zone in picture.zones]
    assert kinds == [kind for kind in ("keep", "check", "reflash") if kind in kinds]


def test_the_strip_says_in_words_what_it_draws() -> None:
    picture = shapes.strip(0.61, (0.42, 0.78), Zones(0.31, 0.72))
    assert picture.spoken == (
        "Chance about 6 in 10 (4 to 8). Reflash from 7 in 10, keep diagnosing below 3 in 10."
    )
    assert [(tick.at, tick.text) for tick in picture.ticks] == [
        (0, "0"),
        (31, "3 in 10"),
        (72, "7 in 10"),
        (100, "all 10"),
    ]


def test_ticks_that_would_write_over_each_other_part_or_give_way() -> None:
    close = shapes.strip(0.5, (0.4, 0.6), Zones(0.44, 0.52)).ticks
    assert [tick.anchor for tick in close if 0 < tick.at < 100] == ["end", "start"]
    same = shapes.strip(0.5, (0.4, 0.6), Zones(0.48, 0.52)).ticks
    assert [tick.text for tick in same] == ["0", "5 in 10", "all 10"]
    wide = shapes.strip(0.5, (0.4, 0.6), Zones(0.06, 0.94)).ticks
    assert [tick.text for tick in wide] == ["1 in 10", "9 in 10"]


def evidence(log_odds: float) -> Evidence:
    return Evidence("a check", "", log_odds, EvidenceCounts(), is_guess=True)


@given(st.lists(st.floats(-8, 8), min_size=1, max_size=8))
def test_pushes_are_as_long_as_their_log_odds_on_one_scale(sizes: list[float]) -> None:
    drawn = shapes.pushes([evidence(size) for size in sizes])
    for size, push in zip(sizes, drawn, strict=True):
        assert push.left >= 0
        assert push.left + push.width <= 100
        if push.width:
            assert (push.left == 50) == (size > 0)
    for (one, a), (two, b) in itertools.combinations(zip(sizes, drawn, strict=True), 2):
        if a.width and b.width:
            assert a.width * abs(two) == pytest.approx(b.width * abs(one))


def leaf(do: str) -> PlanNode:
    return PlanNode(do, 1.0, name="x")


def deep(levels: int) -> PlanNode:
    below = deep(levels - 1) if levels else leaf("diagnose")
    return PlanNode("check", 1.0, name=f"level {levels}", key="k", yes=below, no=leaf("reflash"))


@pytest.mark.parametrize("levels", [0, 1, 2, 3, 6])
def test_the_plan_is_drawn_without_overlap_and_cut_after_three_results(levels: int) -> None:
    picture = plan_picture(deep(levels), {"k": ("LEAKS", "TIGHT")})
    boxes = [(box.x, box.y) for box in picture.boxes]
    assert len(set(boxes)) == len(boxes)
    by_column = itertools.groupby(sorted(boxes), key=lambda box: box[0])
    for _x, column in by_column:
        rows = [y for _, y in column]
        assert all(b - a >= picture.box_height for a, b in itertools.pairwise(rows))
    assert max(x for x, _ in boxes) + picture.box_width <= picture.width
    assert max(y for _, y in boxes) + picture.box_height / 2 <= picture.height
    assert {branch.word for branch in picture.branches} <= {"LEAKS", "TIGHT"}
    assert any(box.kind == "more" for box in picture.boxes) == (levels >= 3)


def luminance(hue: str) -> float:
    """Relative luminance by WCAG 2.2 (https://www.w3.org/TR/WCAG22/#dfn-relative-luminance)."""
    parts = (int(hue[i : i + 2], 16) / 255 for i in (1, 3, 5))
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_text_stands_out_from_its_ground_in_light_and_dark() -> None:
    """WCAG 2.2, 1.4.3: 4.5 to 1 for text, 1.4.11: 3 to 1 for the edges of controls."""
    css = (Path(__file__).parents[2] / "web/static/beforeflash.css").read_text("utf-8")
    hues = dict(re.findall(r"--(\w+): light-dark\(([^)]+)\)", css))
    assert {"paper", "card", "ink", "soft", "blue", "warm", "edge", "wash"} <= set(hues)
    poor = []
    for theme in (0, 1):
        tone = {name: luminance(pair.split(",")[theme].strip()) for name, pair in hues.items()}
        pairs = [(t, g, 4.5) for t in ("ink", "soft", "blue", "warm") for g in ("paper", "card")]
        for text, ground, least in [*pairs, ("ink", "wash", 4.5), ("paper", "ink", 4.5), ("edge", "card", 3)]:
            bright, dark = sorted((tone[text], tone[ground]), reverse=True)
            if (bright + 0.05) / (dark + 0.05) < least:
                poor.append((theme, text, ground))
    assert poor == []
