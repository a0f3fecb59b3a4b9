"""The story in parts of a quarter, with its notes where they came out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from heapq import merge
from itertools import groupby
from typing import Any

from demo_data.sheets import sheets
from demo_data.story import Story
from kb.nouns.notes import NoteDraft

PART_DAYS = 91


@dataclass(frozen=True, slots=True)
class Published:
    """A note that came out, written by the lead."""

    draft: NoteDraft


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to record. Its place among those of its day makes instants rise through the day: a finding
    is evidence only because it was recorded before its reflash.
    """

    day: date
    by: str
    what: Any
    place: int


def parts_of(story: Story) -> list[list[Step]]:
    """The whole story, oldest part first; each ends a whole number of parts before the newest day.

    What came out before the first concern belongs to the first part.
    """
    oldest = (story.today - min(event.day for event in story.events)).days
    steps = merge(_notes(story), _work(story), key=lambda step: step.day)
    some = groupby(steps, key=lambda step: min((story.today - step.day).days, oldest) // PART_DAYS)
    return [list(part) for _ago, part in some]


def _notes(story: Story) -> list[Step]:
    out = [(note.published_on, note) for note in story.notes if note.published_on is not None]
    return [Step(day, "lead", Published(note), 0) for day, note in sorted(out, key=lambda one: one[0])]


def _work(story: Story) -> Iterator[Step]:
    for day, some in groupby(sheets(story.events), key=lambda event: event.day):
        for place, event in enumerate(some):
            yield Step(day, event.by, event.what, place)
