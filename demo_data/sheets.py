"""Taps of one person on one concern in one day, gathered so that they are saved at once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from demo_data.story import Found, GateSettled, StoryEvent


@dataclass(frozen=True, slots=True)
class Sheet:
    """Gates and findings that one person recorded on one concern in one day, saved at once."""

    concern: str
    gates: tuple[GateSettled, ...] = ()
    findings: tuple[Found, ...] = ()


@dataclass(frozen=True, slots=True)
class Told:
    """A sheet with its day and person, as a story event has them."""

    day: date
    by: str
    what: Sheet


def sheets(events: Iterable[StoryEvent]) -> Iterator[StoryEvent | Told]:
    """The story with its taps gathered into sheets; the order of work within a day stays."""
    for _kind, some in groupby(events, key=lambda event: (event.day, type(event.what))):
        together = list(some)
        if not isinstance(together[0].what, GateSettled | Found):
            yield from together
            continue
        taps: dict[tuple[str, str], list[GateSettled | Found]] = {}
        for event in together:
            if isinstance(event.what, GateSettled | Found):
                taps.setdefault((event.what.concern, event.by), []).append(event.what)
        for (concern, by), tapped in taps.items():
            gates = tuple(one for one in tapped if isinstance(one, GateSettled))
            found = tuple(one for one in tapped if isinstance(one, Found))
            yield Told(together[0].day, by, Sheet(concern, gates, found))
