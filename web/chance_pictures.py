"""Where the marks of our pictures go: plain numbers that the templates put into SVG attributes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kb.nouns.advice import Evidence, Verdict, Zones
from kb.nouns.chance_words import about_in_ten, edges_said, in_ten
from web.words import percent

_LABEL_NEEDS = 0.2  # share of the strip below which a zone's name would not fit on a phone
_TICKS_CLASH = 0.16
"""Share of the strip that "8 in 10" takes on the narrowest screen: 46 px and a gap, of 295."""
_END_CLASH = {0.0: 0.13, 1.0: 0.23}
"""So near to an end a number in the middle of its tick runs into "0" or "all 10"."""
_ZONES = {"keep": Verdict.KEEP_DIAGNOSING, "check": Verdict.CHECK_FIRST, "reflash": Verdict.REFLASH}


@dataclass(frozen=True, slots=True)
class Zone:
    """One stretch of the strip; `left` and `width` in percent, `name` empty where it would not fit."""

    kind: str
    left: float
    width: float
    name: str


@dataclass(frozen=True, slots=True)
class Tick:
    """A number under the strip and how it is anchored (start, middle, end)."""

    at: float
    text: str
    anchor: str


@dataclass(frozen=True, slots=True)
class Strip:
    """The strip of one chance: zones, ticks, the mark and its interval (all percent), and it all in words."""

    zones: tuple[Zone, ...]
    ticks: tuple[Tick, ...]
    chance: float
    low: float
    high: float
    spoken: str


def strip(chance: float, interval: tuple[float, float], zones: Zones) -> Strip:
    """The picture of a chance between its thresholds; everything is kept within 0..1."""
    first = _within(zones.low)
    second = max(first, _within(zones.high))
    cuts = (("keep", 0.0, first), ("check", first, second), ("reflash", second, 1.0))
    return Strip(
        zones=tuple(_zone(kind, start, end) for kind, start, end in cuts if end > start),
        ticks=_ticks(first, second),
        chance=100 * _within(chance),
        low=100 * _within(interval[0]),
        high=100 * _within(interval[1]),
        spoken=_spoken(chance, interval, zones),
    )


def _within(value: float) -> float:
    return min(1.0, max(0.0, value))


def _zone(kind: str, start: float, end: float) -> Zone:
    fits = end - start >= (_LABEL_NEEDS if kind != "keep" else 1.4 * _LABEL_NEEDS)
    return Zone(kind, 100 * start, 100 * (end - start), _ZONES[kind].words.lower() if fits else "")


def _ticks(first: float, second: float) -> tuple[Tick, ...]:
    inner = sorted({first, second} - {0.0, 1.0})
    close = len(inner) == 2 and inner[1] - inner[0] < _TICKS_CLASH
    aside = _TICKS_CLASH / 2 if close else 0.0
    ends = [end for end, room in _END_CLASH.items() if all(abs(end - cut) >= room + aside for cut in inner)]
    ticks = [Tick(100 * end, "all 10" if end else "0", "end" if end else "start") for end in ends]
    if close and in_ten(inner[0]) == in_ten(inner[1]):
        inner, close = inner[:1], False
    for position, cut in enumerate(inner):
        anchor = ("end", "start")[position] if close else "middle"
        ticks.append(Tick(100 * cut, in_ten(cut), anchor))
    return tuple(sorted(ticks, key=lambda tick: tick.at))


def _spoken(chance: float, interval: tuple[float, float], zones: Zones) -> str:
    edges = edges_said(chance, zones)
    return f"Chance {about_in_ten(chance, interval)}. {edges[0].upper()}{edges[1:]}."


@dataclass(frozen=True, slots=True)
class Push:
    """A bar left or right of the line: `left` and `width` in percent of the picture."""

    left: float
    width: float
    toward: bool
    spoken: str


def pushes(evidence: Sequence[Evidence]) -> tuple[Push, ...]:
    """Bars on one common scale, so that lengths compare; the longest reaches 46 of 50 percent.

    The scale never shrinks below one unit of log odds, so that small pushes look small.
    """
    scale = max([1.0, *(abs(item.log_odds) for item in evidence)])
    return tuple(_push(item.log_odds, scale) for item in evidence)


def _push(log_odds: float, scale: float) -> Push:
    width = 46 * abs(log_odds) / scale
    toward = log_odds >= 0
    if width < 0.5:
        return Push(50, 0, toward, "tells nothing either way")
    strength = "strongly" if abs(log_odds) >= 1.5 else "clearly" if abs(log_odds) >= 0.7 else "a little"
    direction = "toward" if toward else "away"
    return Push(50 if toward else 50 - width, width, toward, f"{strength} {direction}")


@dataclass(frozen=True, slots=True)
class Bar:
    """An interval bar on 0..100 percent: ends, point and the shop's line (None where not known)."""

    low: float
    high: float
    point: float | None
    shop: float | None
    spoken: str


def bar(interval: tuple[float, float], point: float | None, shop: float | None = None) -> Bar:
    """The picture of a rate with its interval."""
    said = f"{percent(point)}, " if point is not None else ""
    return Bar(
        low=100 * _within(interval[0]),
        high=100 * _within(interval[1]),
        point=None if point is None else 100 * _within(point),
        shop=None if shop is None else 100 * _within(shop),
        spoken=f"{said}between {percent(interval[0])} and {percent(interval[1])}",
    )
