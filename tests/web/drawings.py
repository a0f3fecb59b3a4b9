"""Random and hand-made content of the pictures, and what a drawn one holds."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from xml.etree import ElementTree as ET

from hypothesis import strategies as st

from kb.desk.review.curves import CurveDay, UpdateCurve
from kb.desk.review.review_tables import FunnelPoint, FunnelTable, MonthRow, QuarterRow
from kb.outcomes.advice_audit import ReliabilityBin

Parent = tuple[float, float]
"""Percent and pixels from the left, and pixels down, at which the inner picture begins."""

shares = st.floats(0, 1)
counts = st.integers(0, 400)
NAMES = st.text(max_size=30)


def root_of(drawn: str) -> ET.Element:
    return ET.fromstring(drawn)  # noqa: S314  # our own drawing


def tag(one: ET.Element) -> str:
    return one.tag.rsplit("}", 1)[-1]


def month(place: int, cured: int = 0, failed: int = 0, waiting: int = 0) -> MonthRow:
    """`place` months after December of year 0."""
    first = date(place // 12, place % 12 + 1, 1)
    return MonthRow(first, cured + failed + waiting, cured, failed, waiting, 0, 0, 0)


def interval_about(share: float, below: float, above: float) -> tuple[float, float]:
    return share * below, share + (1 - share) * above


@st.composite
def some_months(draw: st.DrawFn) -> tuple[list[MonthRow], list[QuarterRow], float | None]:
    start = draw(st.integers(2020 * 12, 2026 * 12))
    places = sorted(draw(st.sets(st.integers(0, 80), min_size=1, max_size=80)))
    rows = [month(start + one, *draw(st.tuples(counts, counts, counts))) for one in places]
    firsts = sorted({date(one.month.year, (one.month.month - 1) // 3 * 3 + 1, 1) for one in rows})
    rates = [draw(st.none() | shares) for _ in firsts]
    quarters = [
        QuarterRow(first, 9, 0, rate, interval_about(rate or 0.0, draw(shares), draw(shares)))
        for first, rate in zip(firsts, rates, strict=True)
    ]
    return rows, quarters, draw(st.none() | shares)


def point(
    name: str, known: int, rate: float, *, flagged: bool = False, alarm: bool = False, early: bool = False
) -> FunnelPoint:
    return FunnelPoint(1, name, "a title", known, rate, 0.3, 0.9, flagged, early, alarm)


def table_of(points: list[FunnelPoint], target: float = 0.7) -> FunnelTable:
    most = max(one.known for one in points)
    limits = [(n, target * (1 - 1 / n), target + (1 - target) / n) for n in range(1, most + 1)]
    return FunnelTable(target, tuple(points), tuple(limits), told=True)


@st.composite
def some_points(draw: st.DrawFn, names: st.SearchStrategy[str] = NAMES) -> FunnelTable:
    rows = draw(st.lists(st.tuples(names, st.integers(1, 300), shares), min_size=1, max_size=14))
    flags = [draw(st.sampled_from(({}, {"flagged": True}, {"alarm": True}, {"early": True}))) for _ in rows]
    return table_of([point(*row, **which) for row, which in zip(rows, flags, strict=True)], draw(shares))


@st.composite
def some_curves(draw: st.DrawFn) -> UpdateCurve:
    window = draw(st.integers(1, 3650))
    days = sorted({0, window, *draw(st.lists(st.integers(0, window), max_size=20))})
    falling = sorted(draw(st.lists(shares, min_size=len(days), max_size=len(days))), reverse=True)
    rows = [
        CurveDay(day, 9, 1, share, *interval_about(share, draw(shares), draw(shares)))
        for day, share in zip(days, falling, strict=True)
    ]
    watched = tuple((round(window * part / 3), draw(st.integers(0, 10**6))) for part in range(4))
    return UpdateCurve(window, 0.9, tuple(rows), watched, tuple(zip(days, falling, strict=True)))


@st.composite
def some_bins(draw: st.DrawFn) -> tuple[ReliabilityBin, ...]:
    rows = draw(st.lists(st.tuples(shares, shares, shares, shares, counts), min_size=1, max_size=5))
    bins = [
        ReliabilityBin(0.0, 1.0, n, said, came, interval_about(came, below, above))
        for said, came, below, above, n in rows
    ]
    return (*bins, ReliabilityBin(0.8, 1.0, 3, 0.9, 0.8, (0.5, 0.9)))


@dataclass(frozen=True, slots=True)
class Place:
    """A point of a picture: percent across, pixels right of that, and pixels down."""

    across: float
    right: float
    down: float


def places(one: ET.Element, at: Place = Place(0, 0, 0)) -> Iterator[Place]:  # frozen
    """Every point that is drawn at or below an element."""
    name = tag(one)
    if name == "svg" and "x" in one.attrib:
        at = _moved(at, one.get("x", "0"), one.get("y", "0"))
    if name == "line":
        yield from (_moved(at, one.attrib[f"x{end}"], one.attrib[f"y{end}"]) for end in "12")
    if name == "text":
        yield _moved(at, one.attrib["x"], one.attrib["y"])
    if name == "rect":
        yield _moved(at, one.attrib["x"], one.attrib["y"])
        left, top = float(one.attrib["x"].rstrip("%")), float(one.attrib["y"])
        wide, high = float(one.attrib["width"].rstrip("%")), float(one.attrib["height"])
        assert wide > 0
        assert high >= 0
        yield _moved(at, f"{left + wide}%", str(top + high))
    for inner in one:
        stretched = "viewBox" in one.attrib
        yield from (_points(inner, at, stretched=stretched) if tag(inner) == "path" else places(inner, at))


def _moved(at: Place, x: str, y: str) -> Place:
    across, right = (float(x[:-1]), 0.0) if x.endswith("%") else (0.0, float(x))
    return Place(at.across + across, at.right + right, at.down + float(y))


def _points(one: ET.Element, at: Place, *, stretched: bool) -> Iterator[Place]:
    """Of a path of M, L (absolute pairs), H and V; in a stretched picture across is percent."""
    x = y = 0.0
    step, words = "M", one.attrib["d"].replace("Z", "")
    for letter in "MLHV":
        words = words.replace(letter, f" {letter} ")
    rest = iter(words.split())
    for word in rest:
        if word in "MLHV":
            step = word
            word = next(rest)
        if step == "V":
            y = float(word)
        else:
            x = float(word)
            y = y if step == "H" else float(next(rest))
        yield (
            Place(at.across + x, at.right, at.down + y)
            if stretched
            else Place(at.across, at.right + x, at.down + y)
        )
