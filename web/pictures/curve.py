"""How long the cures of one update hold, with the shop's behind them."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from markupsafe import Markup

from kb.desk.review.curves import UpdateCurve
from web.pictures.axes import SHARES, below, foot, head, levels
from web.pictures.scales import Span
from web.pictures.svg import outline, path, picture, stretched, text
from web.words import percent

DOWN = Span(0.0, 1.0, 244.0, 24.0)
FLOOR = DOWN.start
HEIGHT = FLOOR + 76


def drawn(curve: UpdateCurve) -> Markup:
    """Share still free of the concern by day: a step down where vehicles came back, its interval shaded.

    Below stands how many vehicles were still watched. There is at least one day.
    """
    along = Span(0, curve.window_days, 0, 100)
    low, high, cured = (
        _steps([(one.day, share) for one, share in zip(curve.days, shares, strict=True)], along)
        for shares in zip(*((one.low, one.high, one.cured) for one in curve.days), strict=True)
    )
    lines = (
        path("band", outline([*low, *reversed(high)])),
        path("band-edge", outline(low)),
        path("band-edge", outline(high)),
        path("dashed", outline(_steps(curve.shop, along))),
        path("curve-line", outline(cured)),
    )
    days = [day for day, _ in curve.watched]
    parts = (
        head("free of the concern", 12),
        levels(DOWN, SHARES),
        stretched(FLOOR, *lines),
        below(along, FLOOR, days, "{:.0f}".format),
        foot("days since the reflash", FLOOR + 34),
        _watched(curve, along),
    )
    return picture("curve-picture", "How long the cures of this update hold", _says(curve), HEIGHT, *parts)


def _says(curve: UpdateCurve) -> str:
    last, shop = curve.days[-1], curve.shop[-1][1]
    return (
        f"On day {last.day} {percent(last.cured)} are still free of the concern, "
        f"{percent(shop)} of the whole shop's. The table below has the numbers."
    )


def _steps(days: Sequence[tuple[int, float]], along: Span) -> list[tuple[float, float]]:
    """Corners of a line that stays level to the next day and goes there to its share."""
    corners = [(along.at(day), DOWN.at(share)) for day, share in days]
    turns = [((x, before), (x, y)) for (_, before), (x, y) in pairwise(corners)]
    return [corners[0], *(corner for turn in turns for corner in turn)]


def _watched(curve: UpdateCurve, along: Span) -> Markup:
    numbers = [
        text(f"{count:,}", along.at(day), FLOOR + 70, text_anchor="middle") for day, count in curve.watched
    ]
    return Markup("").join((head("vehicles still watched", FLOOR + 54), *numbers))
