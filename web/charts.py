"""Charts as SVG, drawn on the server: light and dark, wide and narrow. Each stands beside its table."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass
from types import MappingProxyType
from typing import Any

import altair as alt
import vl_convert

from web.chart_names import most, placed

Rows = Sequence[Mapping[str, Any]]
Chart = Any
"""Altair's charts; their own types change with every step of a chain."""


@dataclass(frozen=True, slots=True)
class Ink:
    """The hues of one theme, as in the style sheet.

    `blue` is sky blue of the Okabe-Ito palette, darkened until it stands by lightness alone between `card`
    and `text` in both themes: a gray print and eyes that see no blue tell the three apart.
    """

    text: str
    soft: str
    rule: str
    mark: str
    wash: str
    card: str
    blue: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """A size in pixels, and the most ticks that fit along it."""

    width: int
    height: int
    ticks: int


INKS: Mapping[str, Ink] = MappingProxyType(
    {
        "light": Ink("#1b222b", "#56606b", "#d9d4c7", "#00629b", "#cfe3f0", "#ffffff", "#4087af"),
        "dark": Ink("#ebe9e3", "#a9b0b8", "#3a4149", "#56b4e9", "#1d3f57", "#1c2126", "#4087af"),
    }
)
SHEETS: Mapping[str, Sheet] = MappingProxyType({"wide": Sheet(620, 260, 8), "narrow": Sheet(290, 240, 4)})


def _over(rows: Rows) -> Chart:
    return alt.Chart({"values": list(rows)})


def curve(rows: Rows, watched: Rows, window: int, ink: Ink) -> Chart:
    """Share still free of the concern by day since the reflash. A row: day, cured, low, high (0..1).

    Below stands how many vehicles were still watched. A row of those: day, count.
    """
    days = alt.X("day:Q", title="days since the reflash", scale=alt.Scale(domain=[0, window]))
    share = alt.Scale(domain=[0, 1])
    base = _over(rows)
    band = base.mark_area(interpolate="step-after", color=ink.wash).encode(
        x=days, y=alt.Y("low:Q", scale=share), y2="high:Q"
    )
    line = base.mark_line(interpolate="step-after", color=ink.mark, strokeWidth=2.5).encode(
        x=days,
        y=alt.Y("cured:Q", scale=share, title="free of the concern", axis=alt.Axis(format="%")),
    )
    numbers = _over(watched).mark_text(color=ink.text, fontSize=12, y=alt.expr("height + 56"))
    label = _over([{"day": 0, "said": "vehicles still watched"}]).mark_text(
        color=ink.soft, fontSize=12, align="left", y=alt.expr("height + 42")
    )
    return alt.layer(band, line, numbers.encode(x=days, text="count:Q"), label.encode(x=days, text="said:N"))


def reliability(rows: Rows, ink: Ink) -> Chart:
    """What was said against what came. A row: said, came, low, high (0..1) and n."""
    whole = alt.Scale(domain=[0, 1])
    corners = ({"said": 0, "came": 0}, {"said": 1, "came": 1})
    x = alt.X("said:Q", scale=whole, title="chance that was said", axis=alt.Axis(format="%"))
    diagonal = _over(corners).mark_line(color=ink.soft, strokeDash=[4, 3]).encode(x=x, y="came:Q")
    base = _over(rows)
    bars = base.mark_rule(color=ink.text, strokeWidth=2).encode(
        x=x, y=alt.Y("low:Q", scale=whole), y2="high:Q"
    )
    points = base.mark_point(color=ink.mark, filled=True, shape="diamond", opacity=1).encode(
        x=x,
        y=alt.Y("came:Q", scale=whole, title="cured of those", axis=alt.Axis(format="%")),
        size=alt.Size("n:Q", scale=alt.Scale(range=[60, 400]), legend=None),
    )
    return alt.layer(diagonal, bars, points)


def funnel(rows: Rows, target: float, ink: Ink) -> Chart:
    """Every update against the shop's rate, dashed. A row: vehicles, rate, low, high (0..1), name, flagged.

    The shaded stretch holds where luck alone would put an update of so many vehicles. Marks outside it are
    in ink with a bold name; of the others the lowest and highest are named.
    """
    whole = alt.Scale(domain=[0, 1])
    along = alt.Scale(domain=[0, most(rows)], nice=False)
    x = alt.X(
        "vehicles:Q", scale=along, title="vehicles (waiting ones in part)", axis=alt.Axis(tickMinStep=1)
    )
    base = _over(sorted(rows, key=lambda row: row["vehicles"]))
    luck = base.mark_area(color=ink.wash).encode(x=x, y=alt.Y("low:Q", scale=whole), y2="high:Q")
    shop = _over([{"rate": target}]).mark_rule(color=ink.soft, strokeDash=[4, 3]).encode(y="rate:Q")
    points = base.mark_point(filled=True, shape="diamond", size=90, opacity=1).encode(
        x=x,
        y=alt.Y("rate:Q", scale=whole, title="cured", axis=alt.Axis(format="%")),
        color=alt.condition("datum.flagged", alt.value(ink.text), alt.value(ink.mark)),
    )
    names = [
        _over([asdict(one)])
        .mark_text(
            color=ink.text,
            fontSize=12,
            fontWeight="bold" if one.flagged else "normal",
            align=one.align,
            dx=one.right,
            dy=one.below,
        )
        .encode(x=x, y="rate:Q", text="name:N")
        for one in placed(rows)
    ]
    return alt.layer(luck, shop, points, *names)


def months(rows: Rows, ink: Ink) -> Chart:
    """Reflashes by month and what came of them. A row: month (its name), what, count, order.

    Not known yet is an empty box; cured and not cured differ from it and from each other in lightness.
    """
    kinds = ["cured", "waiting or not asked", "not cured"]
    return (
        _over(rows)
        .mark_bar(stroke=ink.text, strokeWidth=1)
        .encode(
            x=alt.X("month:O", title=None, sort=None, axis=alt.Axis(labelOverlap=True, labelAngle=0)),
            y=alt.Y("count:Q", title="reflashes"),
            color=alt.Color(
                "what:N",
                scale=alt.Scale(domain=kinds, range=[ink.blue, ink.card, ink.text]),
                legend=alt.Legend(title=None, orient="top", symbolStrokeColor=ink.text, symbolStrokeWidth=1),
            ),
            order="order:Q",
        )
    )


Draw = Callable[[Ink], Chart]


def svg(draw: Draw, theme: str, size: str) -> str:
    """The chart as an SVG document without script, style or any address of elsewhere.

    `draw` makes it in the hues of a theme (light, dark); `size` is wide or narrow.
    """
    ink, sheet = INKS[theme], SHEETS[size]
    sized = draw(ink).properties(width=sheet.width, height=sheet.height, background="transparent", padding=4)
    text = {"labelColor": ink.text, "titleColor": ink.text, "labelFontSize": 12, "titleFontSize": 12}
    lines = {"gridColor": ink.rule, "domainColor": ink.text, "tickColor": ink.soft}
    chart = sized.configure(
        font="sans-serif",
        axis={**text, **lines, "titleFontWeight": "normal", "tickCount": sheet.ticks},
        legend=text,
        view={"stroke": None},
    )
    return _without_styles(vl_convert.vegalite_to_svg(chart.to_dict()))


def _without_styles(drawn: str) -> str:
    """The content policy forbids style attributes; everything we draw is in plain attributes besides."""
    return re.sub(r'\sstyle="[^"]*"', "", drawn)
