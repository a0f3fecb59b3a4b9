"""What the advice said against what came."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Protocol

from markupsafe import Markup

from web.pictures.axes import SHARES, below, foot, head, levels
from web.pictures.scales import Span
from web.pictures.svg import diamond, line, mark, named, picture, whisker
from web.words import percent, plural

DOWN, ALONG = Span(0.0, 1.0, 264.0, 24.0), Span(0.0, 1.0, 0.0, 100.0)
FLOOR = DOWN.start
SMALL, LARGE = 5.0, 11.0
"""Half of a diamond in pixels, of few concerns and of the most."""


class Said(Protocol):
    """Concerns that were told about the same chance: what was said on average and what came, 0..1."""

    @property
    def n(self) -> int: ...
    @property
    def mean_chance(self) -> float: ...
    @property
    def share_cured(self) -> float: ...
    @property
    def interval(self) -> tuple[float, float]: ...


def drawn(bins: Sequence[Said]) -> Markup:
    """A diamond for each bin with concerns, larger for more of them; the dashed line is said = came."""
    told = [one for one in bins if one.n]
    most = max(one.n for one in told)
    parts = (
        head("cured of those", 12),
        levels(DOWN, SHARES),
        below(ALONG, FLOOR, SHARES, percent),
        line("dashed", (0, DOWN.at(0)), (100, DOWN.at(1))),
        *(_bin(one, most) for one in told),
        foot("chance that was said", FLOOR + 36),
    )
    says = f"{plural(sum(one.n for one in told), 'concern')} by the chance that was said and the share cured."
    return picture("said-picture", "Said against came", says, FLOOR + 42, *parts)


def _bin(one: Said, most: int) -> Markup:
    low, high = (DOWN.at(share) for share in one.interval)
    x, size = ALONG.at(one.mean_chance), SMALL + (LARGE - SMALL) * math.sqrt(one.n / most)
    said = f"{percent(one.mean_chance)} said, {percent(one.share_cured)} cured of {plural(one.n, 'concern')}"
    return named(said, whisker(x, low, high), mark("accent", x, DOWN.at(one.share_cured), diamond(size)))
