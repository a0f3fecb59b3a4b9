"""Everything on file about one concern, as one frozen value: read once, and decided from.

It holds facts alone. What they come to today (which gates are settled, where a calibration stands, what a
reflash counts as) is decided from it by the pure rooms and never kept in it.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from string import ascii_uppercase
from typing import Any

from kb.nouns.bay.clocks import Clock, ClockView
from kb.nouns.bay.customer_word import Authorized
from kb.nouns.bay.next_up import NextUp
from kb.nouns.bay.number_for_now import is_for_now
from kb.nouns.bay.on_file import (
    PROGRAMMING_STARTED,
    Decided,
    Found,
    GateSaid,
    Lift,
    OfferedThen,
    Paid,
    Programmed,
    Tick,
    not_recovered,
)
from kb.nouns.bay.readings import Reading, calibrations
from kb.nouns.bay.waiting import Waiting
from kb.nouns.concerns import INSTALLED, CodesScanned, ReportedCode
from kb.nouns.outcomes import Heard, Reflashed
from kb.nouns.recalls import RecallSaid
from kb.nouns.vehicles import CalibrationReading, LookUp, Vehicle


def ref_of(ro_number: str, line: str) -> str:
    """A concern's name on paper: "RO 2087-A"."""
    return f"RO {ro_number}-{line}" if line else f"RO {ro_number}"


def next_line(taken: Collection[str]) -> str:
    """The first free letter for one more line of a repair order; a number after the last letter."""
    return next((letter for letter in ascii_uppercase if letter not in taken), str(len(taken)))


@dataclass(frozen=True, slots=True)
class ConcernLine:
    """One concern in a list.

    `counted`: what one that was closed as cured by its reflash counts as today, such as "cured by the
    reflash", "reflashed, waiting, day 40 of 90" or "reflashed, not heard of"; else empty.
    `waiting`: what an open one waits for; `next_up`: what somebody said is next; `clocks`: those that run, in
    a list of open concerns.
    """

    id: int
    ref: str
    complaint: str
    vehicle: Vehicle
    state: str
    opened_on: date
    ending: str = ""
    other_cause: str = ""
    counted: str = ""
    waiting: Waiting | None = None
    next_up: NextUp | None = None
    clocks: tuple[ClockView, ...] = ()


@dataclass(frozen=True, slots=True)
class OtherConcern:
    """A concern beside the one at hand: its line, and what it may be held against that one by.

    `codes` are there where its words are compared.
    """

    line: ConcernLine
    repair_order_id: int
    cured_by_note_id: int | None
    usual_gap_days: int | None
    technician_words: str
    conditions: tuple[str, ...]
    started: str
    imported: bool
    codes: tuple[ReportedCode, ...] = ()

    @property
    def id(self) -> int:
        return self.line.id

    @property
    def complaint(self) -> str:
        return self.line.complaint


@dataclass(frozen=True, slots=True)
class ConcernFile:
    """A concern with everything recorded about it, its vehicle and its visit. `ref` reads "RO 2087-A".

    Of the concern: `codes`, `clocks` that run, `read` (oldest first, struck ones too), `gates_said`, `found`,
    `lifts`, `ticks`, `offered` and `decisions`. Of its repair order: `authorizations`, `payments`, and the
    recalls looked up on any of its lines. Of its vehicle, whatever the visit: `look_ups`, `programmed`
    (oldest first), `visits` (its other concerns), and by concern what was `reflashed` and what was `heard`
    of it.
    """

    id: int
    version: int
    ref: str
    ro_number: str
    line: str
    repair_order_id: int
    odometer: int | None
    phone: str
    vehicle_id: int
    vehicle_version: int
    vehicle: Vehicle
    complaint: str
    technician_words: str
    conditions: tuple[str, ...]
    frequency: str
    usual_gap_days: int | None
    started: str
    just_before: str
    overnight: str
    codes_scanned: CodesScanned
    cost_overrides: Mapping[str, Any]
    state: str
    opened_on: date
    opened_at: datetime
    opened_by: str
    ending: str
    cured_by_note_id: int | None
    other_cause: str
    closed_on: date | None
    waiting: Waiting | None
    next_up: NextUp | None
    codes: tuple[ReportedCode, ...]
    read: tuple[Reading, ...]
    look_ups: tuple[LookUp, ...]
    gates_said: tuple[GateSaid, ...]
    found: tuple[Found, ...]
    recalls_said: tuple[RecallSaid, ...]
    lifts: tuple[Lift, ...]
    ticks: tuple[Tick, ...]
    offered: tuple[OfferedThen, ...]
    decisions: tuple[Decided, ...]
    authorizations: tuple[Authorized, ...]
    payments: tuple[Paid, ...]
    programmed: tuple[Programmed, ...]
    reflashed: Mapping[int, tuple[Reflashed, ...]]
    heard: Mapping[int, tuple[Heard, ...]]
    clocks: tuple[Clock, ...]
    visits: tuple[OtherConcern, ...]

    @property
    def readings(self) -> tuple[CalibrationReading, ...]:
        """What modules showed of their calibrations, oldest first."""
        return calibrations(self.read)

    @property
    def reflashes(self) -> tuple[Programmed, ...]:
        """What was programmed for this concern, in the order in which it was counted for it."""
        mine = (one for one in self.programmed if one.concern_id == self.id)
        return tuple(sorted(mine, key=lambda one: (one.performed_on, one.outcome_id)))

    @property
    def being_programmed(self) -> Tick | None:
        """Who started programming, and when, where nobody wrote down yet how it ended."""
        return next((one for one in self.ticks if one.item == PROGRAMMING_STARTED), None)

    @property
    def follow_ups(self) -> tuple[Heard, ...]:
        """By the day each was true, then as recorded."""
        return self.heard.get(self.id, ())

    @property
    def installed(self) -> tuple[Programmed, ...]:
        """What went in for this concern."""
        return tuple(one for one in self.reflashes if one.result in INSTALLED)

    @property
    def not_completed(self) -> tuple[Programmed, ...]:
        """Modules of the vehicle that stopped or were lost since the concern was opened, until recovered."""
        return not_recovered(one for one in self.programmed if one.performed_on >= self.opened_on)

    @property
    def authorized_minor(self) -> int | None:
        """The limit that the plan stops at: what was agreed to last; None where nothing was."""
        return self.agreed.amount_minor if self.agreed else None

    @property
    def agreed(self) -> Authorized | None:
        """What the customer agreed to last; what they declined since leaves it as it is."""
        return next((one for one in reversed(self.authorizations) if not one.declined), None)

    @property
    def waits_for_number(self) -> bool:
        """Whether its repair order had no number yet when it was opened."""
        return is_for_now(self.ro_number)

    @property
    def has_a_number(self) -> bool:
        """Whether a phone number of the customer is on file."""
        return bool(self.phone or any(one.number_called for one in self.authorizations))

    @property
    def billed_minor(self) -> int:
        return sum(one.amount_minor for one in self.payments if one.kind == "billed")

    def was_opened_after(self, done: Programmed) -> bool:
        """Whether a sitting was before this visit; of the same day, by when each was written down."""
        if done.performed_on == self.opened_on:
            return done.recorded_at < self.opened_at
        return done.performed_on < self.opened_on

    def ref_of(self, concern_id: int) -> str:
        """What this concern, or another one of the vehicle, is called on paper."""
        return next((one.line.ref for one in self.visits if one.id == concern_id), self.ref)

    def gate(self, key: str) -> GateSaid | None:
        """What was last said of a gate."""
        return next((one for one in reversed(self.gates_said) if one.gate == key), None)

    def has_fault(self, gate: str) -> bool:
        said = self.gate(gate)
        return said is not None and said.result == "fault"
