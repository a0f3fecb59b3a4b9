"""Pictures of the review as SVG inside the page.

A picture is as wide as its place: across it everything stands in percent, downward in pixels, so that letters
keep their size on a phone and on paper. Hues and textures are classes of the style sheet, for both themes.
Each stands beside a table with its numbers.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from types import MappingProxyType

from markupsafe import Markup

from kb.desk.memory import Memory
from web.pictures import curve, funnel, months, reliability

PICTURES: Mapping[str, Callable[..., Markup]] = MappingProxyType(
    {"curve": curve.drawn, "funnel": funnel.drawn, "months": months.drawn, "reliability": reliability.drawn}
)


def of(memory: Memory, name: str, *shown: Hashable) -> Markup:
    """The picture of that name, drawn once for what it shows."""
    return memory.recall(("picture", name), shown, lambda: PICTURES[name](*shown))
