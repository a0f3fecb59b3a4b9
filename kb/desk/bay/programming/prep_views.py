"""A preparation list as pages, papers and the interface show it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from kb.advice.before_plan.stops import not_checked_said
from kb.nouns.advice import StopInHand
from kb.nouns.bay.failure_sheets import WhenItFails
from kb.nouns.bay.on_file import Tick
from kb.nouns.vehicles import CalibrationReading, CalibrationStep
from kb.prep.line_standing import Standing, standing
from kb.prep.lines import PrepLine
from kb.vehicle.updates_on_file import UpdateOnFile


@dataclass(frozen=True, slots=True)
class PrepItem:
    """A line with what was done about it; empty `by` means that nobody touched it yet."""

    line: PrepLine
    by: str = ""
    at: datetime | None = None
    measured: str = ""
    passed_over: str = ""

    @property
    def standing(self) -> Standing:
        return standing(self.line, self.by, self.measured, self.passed_over)

    @property
    def settled(self) -> bool:
        return self.standing.settled

    @property
    def needs_an_answer(self) -> bool:
        """Whether it is settled by a value, words, somebody else or a reason, never by a mere tick."""
        return bool(self.line.blocks or self.line.unit or self.line.asks or self.line.signers)


@dataclass(frozen=True, slots=True)
class PrepList:
    """The list by place, with what will be typed exactly and the IDs before and after.

    `not_checked`: what nobody looked up for this VIN, such as recalls; no line of the list settles it.
    """

    concern_id: int
    update: UpdateOnFile | None
    step: CalibrationStep | None
    reading: CalibrationReading | None
    places: tuple[tuple[str, tuple[PrepItem, ...]], ...]
    exact_entries: tuple[str, ...]
    relearns: tuple[str, ...]
    overrides: tuple[str, ...]
    stops: tuple[StopInHand, ...]
    system_volts: int
    says_24_volts: bool
    not_checked: str
    when_it_fails: WhenItFails

    @property
    def not_checked_said(self) -> str:
        """What nobody looked up for this VIN, as a sentence; empty where all was."""
        return not_checked_said(self.not_checked)

    @property
    def items(self) -> tuple[PrepItem, ...]:
        return tuple(item for _place, items in self.places for item in items)

    @property
    def open_lines(self) -> tuple[PrepItem, ...]:
        return tuple(item for item in self.items if not item.settled)

    @property
    def open_items(self) -> int:
        return len(self.open_lines)

    @property
    def blocking(self) -> tuple[PrepItem, ...]:
        """Open lines that are passed only with a name and a reason: blockers, and values not measured."""
        return tuple(item for item in self.open_lines if item.needs_an_answer)

    def next_for(self, person: str) -> PrepItem | None:
        """What comes next: what that person alone signs, what blocks, what is open, if anything."""
        theirs = (item for item in self.open_lines if person in item.line.signers)
        return next(iter((*theirs, *self.blocking, *self.open_lines)), None)

    @property
    def ready(self) -> bool:
        """Whether programming may begin: no stop is open and every line is settled by somebody."""
        return not self.stops and not self.open_lines


def item_of(line: PrepLine, tick: Tick | None) -> PrepItem:
    return PrepItem(line, tick.by, tick.at, tick.measured, tick.passed_over) if tick else PrepItem(line)
