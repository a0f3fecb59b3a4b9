"""Reflashes by month, what came of them, and above them how many were cured of each quarter's."""

from __future__ import annotations

import calendar
from collections.abc import Sequence
from datetime import date

from markupsafe import Markup

from kb.desk.review.review_tables import MonthRow, QuarterRow
from web.pictures.axes import head, levels
from web.pictures.scales import Label, Span, labels_of, nice_ticks, years_of
from web.pictures.svg import diamond, line, mark, named, picture, rect, text, whisker
from web.words import percent, plural

MOST_MONTHS = 60
SHARES = Span(0.0, 1.0, 114.0, 24.0)
TOP, BOTTOM = 156.0, 326.0
"""Pixels from the top of the picture between which reflashes are counted."""
HEIGHT = BOTTOM + 42
SLOT, WIDEST = 0.76, 8.0
"""Share of its month that a column takes, and percent of the picture that it takes at most."""
NAMES = calendar.month_abbr[1:]


def drawn(months: Sequence[MonthRow], quarters: Sequence[QuarterRow], shop: float | None) -> Markup:
    """The newest 60 months from the first to the last with a reflash. `shop`: its cure rate, dashed."""
    last = _place(months[-1].month)
    shown = [one for one in months if _place(one.month) > last - MOST_MONTHS]
    slots = range(_place(shown[0].month), last + 1)
    parts = (_rates(quarters, slots, shop), _counts(shown, slots), _labels(slots))
    return picture("months-picture", "Reflashes by month and their cures", _says(shown), HEIGHT, *parts)


def _place(first: date) -> int:
    return first.year * 12 + first.month - 1


def _says(shown: Sequence[MonthRow]) -> str:
    cured, failed, unknown = (
        sum(count) for count in zip(*((one.cured, one.not_cured, one.unknown) for one in shown), strict=True)
    )
    span = f"{shown[0].month:%b %Y} to {shown[-1].month:%b %Y}"
    return f"{span}: {cured} cured, {failed} not, {unknown} not known yet. The tables below have the numbers."


def _rates(quarters: Sequence[QuarterRow], slots: range, shop: float | None) -> Markup:
    dashed = () if shop is None else (line("dashed", (0, SHARES.at(shop)), (100, SHARES.at(shop))),)
    ends = head("cured, by quarter of the reflash", 12) + levels(SHARES, (0.0, 0.5, 1.0))
    return Markup("").join((ends, *dashed, *(_rate(one, slots) for one in quarters)))


def _rate(one: QuarterRow, slots: range) -> Markup:
    """A diamond in the middle of the quarter's months with its interval; nothing where it is too early."""
    months = [place for place in range(_place(one.first), _place(one.first) + 3) if place in slots]
    if one.rate is None or not months:
        return Markup("")
    x = 100 * (sum(months) / len(months) - slots.start + 0.5) / len(slots)
    low, middle, high = (SHARES.at(share) for share in (one.interval[0], one.rate, one.interval[1]))
    said = f"{one.words}: {percent(one.rate)} of {plural(one.known, 'known answer')}"
    return named(said, whisker(x, low, high), mark("accent", x, middle, diamond(5)))


def _counts(shown: Sequence[MonthRow], slots: range) -> Markup:
    lowest, highest = max(one.not_cured for one in shown), max(one.cured + one.unknown for one in shown)
    ticks = nice_ticks(-lowest, highest, least=1)
    down = Span(ticks[0], ticks[-1], BOTTOM, TOP)
    columns = [_column(one, slots, down) for one in shown]
    zero = line("line", (0, down.at(0)), (100, down.at(0)))
    scale = levels(down, ticks, lambda value: f"{abs(value):,.0f}")
    return Markup("").join(
        (head("reflashes by month: not cured below the line", TOP - 14), scale, *columns, zero)
    )


def _column(one: MonthRow, slots: range, down: Span) -> Markup:
    """Cured from the line up, on top what is not known yet, and from the line down what was not cured."""
    slot = 100 / len(slots)
    wide = min(SLOT * slot, WIDEST)
    left = slot * (_place(one.month) - slots.start + 0.5) - wide / 2
    ends = (
        ("bar-open", one.cured + one.unknown, one.cured),
        ("bar-cured", one.cured, 0),
        ("bar-failed", 0, -one.not_cured),
    )
    said = f"{one.month:%b %Y}: {one.cured} cured, {one.not_cured} not, {one.unknown} not known yet"
    bars = [rect(kind, left, wide, down.at(high), down.at(low)) for kind, high, low in ends if high > low]
    return named(said, *bars)


def _labels(slots: range) -> Markup:
    middle = Span(0, len(slots), 0, 100)
    months = [_label(one, middle, BOTTOM + 20) for one in labels_of(slots, NAMES)]
    return Markup("").join((*months, *(_label(one, middle, BOTTOM + 36) for one in years_of(slots))))


def _label(one: Label, along: Span, y: float) -> Markup:
    kind = {"class_": "roomy"} if one.roomy else {}
    return text(one.words, along.at(one.slot + 0.5), y, text_anchor="middle", **kind)
