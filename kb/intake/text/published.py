"""The day that a paper was published."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from kb.intake.text.days import PrintedDay
from kb.intake.text.paper.headings import Part
from kb.intake.text.paper.layout import Paper
from kb.intake.text.proposal import Field, Proposal

_PUBLISHED = re.compile(
    r"\b(?:date(?:d)?(?:\s+of\s+issue)?|issued?(?:\s+(?:on|date))?|published(?:\s+on)?|publication\s+date|posted(?:\s+on)?|released?(?:\s+(?:on|date))?"
    r"|mailed(?:\s+(?:on|to\s+\w+(?:\s+\w+)?))?|distributed(?:\s+on)?|sent(?:\s+\w+){0,3}|revised|effective(?:\s+date)?|revision\s+date"
    r"|announcement|notice\s+date)\s*[:(]?\s*$",
    re.IGNORECASE,
)
_MOST_BESIDE_DAY, _MOST_BESIDE_MONTH = 64, 40
_OF_BUILD = re.compile(
    r"\b(?:produced|built|build|manufactured|production|VIN|from|before|after|until|through)\b", re.IGNORECASE
)


def published_in(paper: Paper, days: Sequence[PrintedDay]) -> Iterator[Proposal]:
    """The day a paper was published: under a heading of days, or behind "posted", "mailed", "issued"."""
    told = [one for one in days if paper.part_at(one.begins).part is Part.DAY]
    if not told:
        told = [
            one
            for one in days
            if one.is_one_day and _PUBLISHED.search(paper.flat, max(0, one.begins - 40), one.begins)
        ] or [one for one in days if _in_head(paper, one)]
    for one in told[:1]:
        yield Proposal(Field.PUBLISHED_ON, one.first.isoformat(), one.begins, one.ends)


def _in_head(paper: Paper, one: PrintedDay) -> bool:
    """Whether a day stands beside little in the first lines, or a month alone in one of them."""
    if not any(line.begins <= one.begins < line.ends for line in paper.head):
        return False
    line = paper.line_at(one.begins)
    rest = f"{paper.text[line.begins : one.begins]} {paper.text[one.ends : line.ends]}"
    most = _MOST_BESIDE_DAY if one.is_one_day else _MOST_BESIDE_MONTH
    return len(rest.strip()) <= most and not _OF_BUILD.search(rest)
