"""Every update against the shop, by how many of its vehicles are known."""

from __future__ import annotations

from markupsafe import Markup

from kb.desk.review.review_tables import FunnelPoint, FunnelTable
from web.pictures.axes import SHARES, below, foot, head, levels
from web.pictures.names import Mark, Name, placed
from web.pictures.scales import Span, nice_ticks
from web.pictures.svg import diamond, line, mark, named, outline, path, picture, stretched, text
from web.words import percent, plural

DOWN = Span(0.0, 1.0, 272.0, 32.0)
FLOOR = DOWN.start
TRIANGLE = "M0 -9 8 6 -8 6Z"


def drawn(table: FunnelTable) -> Markup:
    """A mark for each update at its rate of the report's row, by how many of its vehicles are known.

    A diamond; in ink and with its name outside the shaded stretch, where luck alone does not put it; a
    triangle with its name where an alarm stands. Updates that it is too early for are left to the table.
    There is at least one point.
    """
    most = table.limits[-1][0]
    along = Span(0, most, 0, 100)
    shown = [one for one in table.points if one.alarm or not one.too_early]
    low, high = (
        [(along.at(vehicles), DOWN.at(limits[end])) for vehicles, *limits in table.limits] for end in (0, 1)
    )
    luck = (
        path("band", outline([*low, *reversed(high)])),
        path("band-edge", outline(low)),
        path("band-edge", outline(high)),
    )
    marks = sorted(shown, key=lambda one: (not one.alarm, not one.flagged, -one.known))
    parts = (
        head("cured", 12),
        levels(DOWN, SHARES),
        stretched(FLOOR, *luck),
        line("dashed", (0, DOWN.at(table.target)), (100, DOWN.at(table.target))),
        below(along, FLOOR, (one for one in nice_ticks(0, most, least=1) if one <= most), "{:,.0f}".format),
        foot("vehicles whose answer is known", FLOOR + 36),
        *(_point(one, along) for one in reversed(marks)),
        *(_name(one) for one in placed([_place(one, along) for one in marks], FLOOR)),
    )
    says = f"{_says(marks)} The shop: {percent(table.target)}. The table below has the numbers."
    return picture("funnel-picture", "Cure rate of every update against the shop", says, FLOOR + 42, *parts)


def _says(shown: list[FunnelPoint]) -> str:
    alarmed, outside = sum(one.alarm for one in shown), sum(one.flagged for one in shown)
    updates = plural(len(shown), "update")
    return f"{updates}, {outside} outside what luck alone explains, {alarmed} with an alarm."


def _place(one: FunnelPoint, along: Span) -> Mark:
    name = (one.number or one.title) if one.alarm or one.flagged else ""
    return Mark(along.at(one.known), DOWN.at(one.rate), name)


def _point(one: FunnelPoint, along: Span) -> Markup:
    kind = "alarm-mark" if one.alarm else "solid" if one.flagged else "accent"
    shape = TRIANGLE if one.alarm else diamond(6)
    said = f"{one.number or one.title}: {percent(one.rate)} cured, {plural(one.known, 'vehicle')} known"
    return named(said, mark(kind, along.at(one.known), DOWN.at(one.rate), shape))


def _name(one: Name) -> Markup:
    x, y = one.mark.x, one.middle + 4
    return text(one.words, x, y, dx=one.right, text_anchor=one.anchor, class_="named")
