"""Reflashes that were read from the correction texts of an import, as people look at them and answer."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from kb.nouns.history.corrections import Place


class ReadState(StrEnum):
    """`not_read`: the text speaks of programming, and what was done is not plain."""

    PROPOSED = "proposed"
    NOT_READ = "not_read"
    TAKEN = "taken"
    NOT_TAKEN = "not_taken"


OPEN = (ReadState.PROPOSED, ReadState.NOT_READ)


class Answer(StrEnum):
    """What somebody says of reflashes that were read: count them, leave them out, ask again."""

    TAKE = "take"
    LEAVE = "leave"
    TAKE_BACK = "take_back"


@dataclass(frozen=True, slots=True)
class TextRead:
    """One text with the places of the words that were read, and how its reflash stands.

    `done_on` is None where the row has no day; it can be counted only with one.
    """

    id: int
    ro_number: str
    vehicle: str
    complaint: str
    text: str
    marks: tuple[Place, ...]
    update: str
    module: str
    road_test: str
    calibration_before: str
    calibration_after: str
    other_work: tuple[str, ...]
    done_on: date | None
    state: ReadState

    @property
    def pieces(self) -> tuple[tuple[str, bool], ...]:
        """The text in pieces, each with whether it is of the words that were read."""
        found: list[tuple[str, bool]] = []
        at = 0
        for begin, end in self.marks:
            found += [(self.text[at:begin], False), (self.text[begin:end], True)]
            at = end
        return tuple(one for one in (*found, (self.text[at:], False)) if one[0])


@dataclass(frozen=True, slots=True)
class AlikeTexts:
    """Texts that tell the same reflash in the same words: update, module, outcome, wording.

    `known_update`: a bulletin on file has this number. `without_day`: open ones that cannot be counted yet.
    """

    alike: str
    wording: str
    update: str
    module: str
    road_test: str
    known_update: bool
    open: int
    taken: int
    not_taken: int
    without_day: int
    examples: tuple[TextRead, ...]

    @property
    def count(self) -> int:
        return self.open + self.taken + self.not_taken


@dataclass(frozen=True, slots=True)
class ReflashesRead:
    """All that was read of an import's texts: groups, the biggest open ones first, and what else they tell.

    `not_read`: texts that speak of programming and were not read, a group too. `others` counts what is no
    reflash ("declined", "key") by its kind.
    """

    groups: tuple[AlikeTexts, ...]
    not_read: AlikeTexts | None
    others: dict[str, int]

    @property
    def every(self) -> tuple[AlikeTexts, ...]:
        return self.groups if self.not_read is None else (*self.groups, self.not_read)

    @property
    def open(self) -> int:
        return sum(one.open for one in self.groups)

    @property
    def named(self) -> tuple[AlikeTexts, ...]:
        """Open groups that name their update."""
        return tuple(one for one in self.groups if one.open and one.update)

    @property
    def taken(self) -> int:
        return sum(one.taken for one in self.every)


@dataclass(frozen=True, slots=True)
class Said:
    """The answer for a group, or for those of its texts that `only` names.

    None leaves what was read; "" takes it out. A reflash `without_number` counts under no bulletin, and must
    be said to be one. `done_on` is for texts whose row has no day.
    """

    answer: Answer
    update: str | None = None
    without_number: bool = False
    module: str | None = None
    road_test: str | None = None
    done_on: date | None = None
    only: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Answered:
    """How many were counted, left out or taken back, and how many were not, by the reason."""

    done: int
    without_day: int = 0
    used_since: int = 0
    changed_since: int = 0

    def __add__(self, other: Answered) -> Answered:
        return Answered(
            self.done + other.done,
            self.without_day + other.without_day,
            self.used_since + other.used_since,
            self.changed_since + other.changed_since,
        )

    @property
    def sentence(self) -> str:
        """What is told besides the number done; empty where nothing was left over."""
        left = (
            (self.without_day, "no day that it could be counted on: open the texts and enter one"),
            (self.changed_since, "another text by now, or none: bring the file in again"),
            (self.used_since, "been worked on since: put those right on the concern"),
        )
        return " ".join(f"{count:,} {'has' if count == 1 else 'have'} {why}." for count, why in left if count)
