"""Axes: levels across a picture with their numbers left of it, and numbers below it."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from markupsafe import Markup

from web.pictures.scales import Span
from web.pictures.svg import line, text
from web.words import percent

SHARES = (0.0, 0.25, 0.5, 0.75, 1.0)


def levels(down: Span, values: Iterable[float], say: Callable[[float], str] = percent) -> Markup:
    """A faint line at each value, its number left of the plot."""
    return Markup("").join(
        line("faint", (0, y), (100, y)) + text(say(value), 0, y + 4, dx=-6, text_anchor="end")
        for value in values
        for y in [down.at(value)]
    )


def below(along: Span, y: float, values: Iterable[float], say: Callable[[float], str]) -> Markup:
    """The axis at `y` with a small stroke and a number at each value."""
    return line("line", (0, y), (100, y)) + Markup("").join(
        line("line", (x, y), (x, y + 4)) + text(say(value), x, y + 18, text_anchor="middle")
        for value in values
        for x in [along.at(value)]
    )


def head(words: str, y: float) -> Markup:
    """What the levels below it count."""
    return text(words, 0, y, class_="soft-fill", dx=-HEAD)


def foot(words: str, y: float) -> Markup:
    """What the numbers above it count."""
    return text(words, 50, y, class_="soft-fill", text_anchor="middle")


HEAD = 38
"""Pixels left of the plot where a head begins, above the numbers there."""
