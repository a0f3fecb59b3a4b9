"""Where numbers and months stand along an axis, and which of them are written there."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

NARROW, WIDE = 250.0, 540.0
"""Pixels across the plot on the narrowest phone, and at least so many where a page has more than 40 rem."""
MONTH_LABEL = 32.0
"""Pixels that a month of three letters or a year takes, with air before the next."""
MONTH_STEPS = (1, 2, 3, 6, 12)


@dataclass(frozen=True, slots=True)
class Span:
    """Numbers from `low` to `high` laid evenly from `start` to `end` (percent or pixels)."""

    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        """The place of a number; one beyond an end stands at that end."""
        share = (min(max(value, self.low), self.high) - self.low) / (self.high - self.low)
        return self.start + share * (self.end - self.start)


def nearest_nice(value: float) -> float:
    """The nearest of 1, 2, 5 times a power of ten to a value above 0."""
    power = 10.0 ** math.floor(math.log10(value))
    return power * next((nice for below, nice in ((1.5, 1), (3, 2), (7, 5)) if value / power < below), 10)


def next_nice(value: float) -> float:
    """The least of 1, 2, 5 times a power of ten that is not below a value above 0."""
    power = 10.0 ** math.floor(math.log10(value))
    return power * next((nice for nice in (1, 2, 5) if value / power <= nice), 10)


def nice_ticks(low: float, high: float, about: int = 5, least: float = 0.0) -> tuple[float, ...]:
    """Evenly spaced round numbers from at or below `low` to at or above `high`, about so many.

    Loose labels of Heckbert (1990), "Nice numbers for graph labels", Graphics Gems, pages 61-63. `least` is
    the smallest step, 1 where whole things are counted. Equal ends give ticks from there on.
    """
    room = (high - low) or 1.0
    step = max(nearest_nice(next_nice(room) / (about - 1)), least)
    last = max(math.ceil(high / step), math.floor(low / step) + 1)
    return tuple(place * step for place in range(math.floor(low / step), last + 1))


@dataclass(frozen=True, slots=True)
class Label:
    """Words at a slot of the axis; a `roomy` one is left out where the page is narrow."""

    slot: int
    words: str
    roomy: bool = False


def label_step(slots: int, width: float) -> int:
    """Every how many months a label has room, when `slots` months share `width` pixels."""
    return next((step for step in MONTH_STEPS if step * width / slots >= MONTH_LABEL), MONTH_STEPS[-1])


def labels_of(months: Sequence[int], names: Sequence[str]) -> tuple[Label, ...]:
    """Month names below an axis of `months` in a row (year * 12 + month - 1), in step with the calendar.

    A month that is written on a narrow page is written on a wide one too.
    """
    wide, narrow = label_step(len(months), WIDE), label_step(len(months), NARROW)
    chosen = [(slot, month) for slot, month in enumerate(months) if _written(months, month, wide)]
    return tuple(
        Label(slot, names[month % 12], roomy=not _written(months, month, narrow)) for slot, month in chosen
    )


def years_of(months: Sequence[int]) -> tuple[Label, ...]:
    """Years below them: at every January, and at the first month unless a January follows too close."""
    first = Label(0, str(months[0] // 12), roomy=_too_close(months, NARROW))
    januaries = [Label(slot, str(month // 12)) for slot, month in enumerate(months) if month % 12 == 0]
    if januaries[:1] and (januaries[0].slot == 0 or _too_close(months, WIDE)):
        return tuple(januaries)
    return (first, *januaries)


def _written(months: Sequence[int], month: int, step: int) -> bool:
    """One in step with January; where none is, the first."""
    return month % step == 0 or (month == months[0] and not any(one % step == 0 for one in months))


def _too_close(months: Sequence[int], width: float) -> bool:
    to_january = -months[0] % 12
    return to_january < len(months) and to_january * width / len(months) < MONTH_LABEL
