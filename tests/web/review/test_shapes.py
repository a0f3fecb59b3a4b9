"""The pictures: marks stand where the numbers are, and say in words what they show."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.nouns.advice import Evidence, EvidenceCounts, PlanNode, Zones
from web import chance_pictures
from web.plan_picture import plan_picture

chances = st.floats(0, 1)


@given(chances, chances, chances, chances, chances)
def test_zones_tile_the_strip_and_every_mark_stands_on_it(
    chance: float, a: float, b: float, c: float, d: float
) -> None:
    (low, high), (first, second) = sorted((a, b)), sorted((c, d))
    picture = chance_pictures.strip(chance, (low, high), Zones(first, second))
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
    picture = chance_pictures.strip(0.61, (0.42, 0.78), Zones(0.31, 0.72))
    assert picture.spoken == (
        "Chance about 6 in 10 (4 to 8 of 10). Reflash from 7 in 10, keep diagnosing below 3 in 10."
    )
    assert [(tick.at, tick.text) for tick in picture.ticks] == [
        (0, "0"),
        (31, "3 in 10"),
        (72, "7 in 10"),
        (100, "all 10"),
    ]


def test_ticks_that_would_write_over_each_other_part_or_give_way() -> None:
    close = chance_pictures.strip(0.5, (0.4, 0.6), Zones(0.44, 0.52)).ticks
    assert [tick.anchor for tick in close if 0 < tick.at < 100] == ["end", "start"]
    same = chance_pictures.strip(0.5, (0.4, 0.6), Zones(0.48, 0.52)).ticks
    assert [tick.text for tick in same] == ["0", "5 in 10", "all 10"]
    wide = chance_pictures.strip(0.5, (0.4, 0.6), Zones(0.06, 0.94)).ticks
    assert [tick.text for tick in wide] == ["1 in 10", "9 in 10"]


@given(chances, chances)
def test_numbers_under_the_strip_never_overlap_on_the_narrowest_phone(a: float, b: float) -> None:
    """Widths as measured in Chromium at 360 px: the strip 295, "8 in 10" 46, "all 10" 38, "0" 8 px."""
    ticks = chance_pictures.strip(0.5, (0.4, 0.6), Zones(*sorted((a, b)))).ticks
    widths = {"0": 8, "all 10": 38}
    left_of = {"start": 0.0, "middle": 0.5, "end": 1.0}
    spans = [
        (2.95 * tick.at - left_of[tick.anchor] * width, width)
        for tick in ticks
        for width in [widths.get(tick.text, 46 if len(tick.text) == 7 else 100)]
        if len(tick.text) <= 7
    ]
    assert all(start + width <= beyond for (start, width), (beyond, _) in itertools.pairwise(spans))


def evidence(log_odds: float) -> Evidence:
    return Evidence("a check", "", log_odds, EvidenceCounts(), is_guess=True)


@given(st.lists(st.floats(-8, 8), min_size=1, max_size=8))
def test_pushes_are_as_long_as_their_log_odds_on_one_scale(sizes: list[float]) -> None:
    drawn = chance_pictures.pushes([evidence(size) for size in sizes])
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
