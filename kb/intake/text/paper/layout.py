"""How a pasted paper is laid out: its lines, its headed parts, its sentences.

`flat` is the text letter for letter as long as it came, so that every place in it is a place in the text:
lines that merely wrap are joined by spaces, and running heads and feet of pages are blanked out.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from kb.intake.text.paper.headings import Part
from kb.intake.text.paper.lines import BULLET, Line, flattened, lines_of
from kb.intake.text.paper.parts import Headed, Label, headings_of, parts_of

_SENTENCE_END = re.compile(
    r"(?:(?<=[^\s.][.!?])(?<!\bNo\.)(?<!\bno\.)(?<!\bvs\.)(?<!\bInc\.)(?<!\bSt\.)(?<!\be\.g\.)(?<!\bi\.e\.)(?<!U\.S\.)\s+|\n+)"
)
MOST_HEAD_LINES, _HEAD_WITHIN = 4, 40
LONGEST_SENTENCE = 1500
"""What goes on longer is no sentence; the rest of it is not looked at."""


@dataclass(frozen=True, slots=True)
class Sentence:
    """A sentence or an entry of a list, and the part that it stands in."""

    text: str
    begins: int
    ends: int
    part: Part
    marked: bool = False


@dataclass(frozen=True)
class Paper:
    """A text with its lines; what is told of its layout is found out when it is asked for."""

    text: str

    @cached_property
    def lines(self) -> tuple[Line, ...]:
        return tuple(lines_of(self.text))

    @cached_property
    def flat(self) -> str:
        return flattened(self.text, self.lines, self._starts_new)

    @cached_property
    def parts(self) -> tuple[Headed, ...]:
        """The text cut into its headed parts, in order, nothing left out but the headings."""
        return tuple(parts_of(self.text, self._labels))

    @cached_property
    def sentences(self) -> tuple[Sentence, ...]:
        return tuple(one for part in self.parts for one in _sentences(self.flat, part))

    @cached_property
    def has_capitals(self) -> bool:
        """Whether it tells names from words by capitals."""
        return not self.text.islower()

    def of(self, *wanted: Part) -> Iterator[Headed]:
        """The parts that tell one of these."""
        return (one for one in self.parts if one.part in wanted)

    def part_at(self, place: int) -> Headed:
        """The part that a place of the text stands in (the one before it, where it is in a heading)."""
        return self.parts[max(bisect_right(self._part_begins, place) - 1, 0)]

    def line_at(self, place: int) -> Line:
        """The line that a place of the text stands in."""
        return self.lines[self._line_number(place)]

    def _line_number(self, place: int) -> int:
        return max(bisect_right(self._line_begins, place) - 1, 0)

    @cached_property
    def head(self) -> tuple[Line, ...]:
        """The first lines that hold anything."""
        return tuple(line for line in self.lines[:_HEAD_WITHIN] if line.ends > line.begins)[:MOST_HEAD_LINES]

    @cached_property
    def _part_begins(self) -> list[int]:
        return [one.begins for one in self.parts]

    @cached_property
    def _line_begins(self) -> list[int]:
        return [one.begins for one in self.lines]

    @cached_property
    def _labels(self) -> tuple[Label, ...]:
        """Where headings begin and what is under them begins, with the part and the words of the heading."""
        return tuple(found for line in self.lines for found in headings_of(self.text, line))

    @cached_property
    def _starts_new(self) -> frozenset[int]:
        """Lines, by number, that hold a heading: neither they nor what stands before goes on."""
        return frozenset(self._line_number(begins) for begins, *_ in self._labels)


def _sentences(flat: str, part: Headed) -> Iterator[Sentence]:
    at = part.begins
    said = flat[part.begins : part.ends]
    ends = [(m.start() + part.begins, m.end() + part.begins) for m in _SENTENCE_END.finditer(said)]
    for stop, following in (*ends, (part.ends, part.ends)):
        piece = flat[at:stop]
        bullet = BULLET.match(piece)
        begins = at + (bullet.end() if bullet else len(piece) - len(piece.lstrip()))
        stops = min(at + len(piece.rstrip()), begins + LONGEST_SENTENCE)
        if stops > begins:
            yield Sentence(" ".join(flat[begins:stops].split()), begins, stops, part.part, bool(bullet))
        at = following
