"""Elements of an SVG picture. Across in percent, down in pixels; words are escaped."""

from __future__ import annotations

import re
from collections.abc import Sequence

from markupsafe import Markup, escape

_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""Characters that no XML document may hold: https://www.w3.org/TR/xml/#charsets."""


def number(value: float) -> str:
    """A place in a picture, as short as a hundredth allows."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


def across(share: float) -> str:
    return f"{number(share)}%"


def readable(words: str) -> str:
    """The words in one line, without characters that no picture may hold."""
    return " ".join(_NOT_XML.sub("\ufffd", words).split())


def element(tag: str, *inside: Markup, **attributes: str | float) -> Markup:
    """An element with its attributes, a dash for each underscore: `text_anchor`, `class_`."""
    written = "".join(
        f' {name.strip("_").replace("_", "-")}="{_written(value)}"' for name, value in attributes.items()
    )
    rest = f">{''.join(inside)}</{tag}>" if inside else "/>"
    return Markup(f"<{tag}{written}{rest}")  # noqa: S704  # its words are escaped


def words_in(tag: str, words: str, **attributes: str | float) -> Markup:
    """An element that holds words: `text`, `title`, `desc`."""
    return element(tag, escape(readable(words)), **attributes)


def text(words: str, x: float, y: float, **attributes: str | float) -> Markup:
    return words_in("text", words, x=across(x), y=y, **attributes)


def line(kind: str, start: tuple[float, float], end: tuple[float, float]) -> Markup:
    """A straight line of that class between two points."""
    (x1, y1), (x2, y2) = start, end
    return element("line", class_=kind, x1=across(x1), y1=y1, x2=across(x2), y2=y2)


def rect(kind: str, left: float, wide: float, top: float, bottom: float) -> Markup:
    return element("rect", class_=kind, x=across(left), y=top, width=across(wide), height=bottom - top)


def mark(kind: str, x: float, y: float, path: str) -> Markup:
    """A shape that keeps its size in pixels, its own middle at the point."""
    return element("svg", element("path", class_=kind, d=path), x=across(x), y=y)


def stretched(height: float, *paths: Markup) -> Markup:
    """Paths that are as wide as the picture: 0..100 across, pixels down."""
    box = {"viewBox": f"0 0 100 {number(height)}", "preserveAspectRatio": "none"}
    return element("svg", *paths, x=0, y=0, width="100%", height=height, **box)


def path(kind: str, d: str) -> Markup:
    """A path inside `stretched`; its line keeps its width."""
    return element("path", class_=kind, d=d, vector_effect="non-scaling-stroke")


def outline(points: Sequence[tuple[float, float]]) -> str:
    """The way from point to point, as a path is written."""
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points)


def named(words: str, *parts: Markup) -> Markup:
    """Parts that say what they are when pointed at."""
    return element("g", words_in("title", words), *parts)


def whisker(x: float, low: float, high: float) -> Markup:
    """An interval from `low` to `high` with its two ends."""
    ends = "".join(f"M-4 {number(end)}H4" for end in (low, high))
    return mark("line bold", x, 0, f"{ends}M0 {number(low)}V{number(high)}")


def diamond(size: float) -> str:
    return f"M0 {-size:g} {size:g} 0 0 {size:g} {-size:g} 0Z"


def picture(name: str, title: str, says: str, height: float, *parts: Markup) -> Markup:
    """The whole picture: `title` names it, `says` tells in a sentence what it shows."""
    about = (words_in("title", title, id=f"{name}-is"), words_in("desc", says, id=f"{name}-says"))
    named_by = {"aria_labelledby": f"{name}-is", "aria_describedby": f"{name}-says"}
    return element("svg", *about, *parts, class_="chart", role="img", height=height, **named_by)


def _written(value: str | float) -> str:
    return escape(value) if isinstance(value, str) else number(value)
