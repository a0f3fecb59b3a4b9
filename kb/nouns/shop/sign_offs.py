"""Who may do which work on which make: what a lead or owner signed off, and what somebody's own access is.

The manufacturer's qualification and local law decide who may work on high voltage, airbags and immobilizers;
a sign-off is the shop's own word and replaces neither.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import NamedTuple


class WorkKind(StrEnum):
    """What a person is signed off for, make by make."""

    UPDATE = "update"
    REPLACED_MODULE = "replaced_module"
    SECURITY = "security"
    HIGH_VOLTAGE = "high_voltage"
    AIRBAG = "airbag"


KIND_WORDS = {
    WorkKind.UPDATE: "updates",
    WorkKind.REPLACED_MODULE: "replaced modules",
    WorkKind.SECURITY: "security",
    WorkKind.HIGH_VOLTAGE: "high voltage",
    WorkKind.AIRBAG: "airbags",
}
"""What each kind is called on the screen."""
QUALIFIED_BY_OTHERS = frozenset({WorkKind.SECURITY, WorkKind.HIGH_VOLTAGE, WorkKind.AIRBAG})
"""What the manufacturer's qualification and local law are asked for, whatever the shop says."""
FIRST_FEW, FIRST_FEW_SAID = 3, "three"
"""Programmings of a newcomer that are co-signed (common practice, no source), and the number in words."""


class AccessKind(StrEnum):
    """Access that is a person's own and never lent."""

    SECURITY_CREDENTIAL = "security_credential"
    GATEWAY_REGISTRATION = "gateway_registration"


@dataclass(frozen=True, slots=True)
class SignOffDraft:
    """One person's sign-off for each of these kinds on each of these makes; no make means every make.

    `newcomer`: the first few programmings of the kind are co-signed. Without `valid_to` it stays open.
    """

    kinds: tuple[WorkKind, ...]
    makes: tuple[str, ...] = ()
    trained_on: date | None = None
    trained_what: str = ""
    valid_to: date | None = None
    newcomer: bool = False
    note: str = ""


@dataclass(frozen=True, slots=True)
class SignOff:
    """One of them as it stands; an empty `make` is every make. Both `valid_to` and `signed_on` count."""

    id: int
    person: str
    make: str
    kind: WorkKind
    signed_on: date
    trained_on: date | None = None
    trained_what: str = ""
    valid_to: date | None = None
    newcomer: bool = False
    note: str = ""
    by: str = ""
    ended_on: date | None = None

    def runs_on(self, day: date) -> bool:
        """Whether it is in force: not before it was signed, not after its last day, not once it was ended."""
        if day < self.signed_on or (self.ended_on is not None and day >= self.ended_on):
            return False
        return self.valid_to is None or day <= self.valid_to

    @property
    def taken_back(self) -> bool:
        """Whether it was ended on the day it was signed: a slip, as if it had never been."""
        return self.ended_on is not None and self.ended_on <= self.signed_on


@dataclass(frozen=True, slots=True)
class AccessDraft:
    """What somebody's own access is for and when it ends. No field takes a number, name or password."""

    kind: AccessKind
    make: str
    ends_on: date | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Access:
    """One credential or registration as it stands."""

    id: int
    person: str
    kind: AccessKind
    make: str
    ends_on: date | None = None
    note: str = ""
    by: str = ""
    gone_on: date | None = None


class ModuleProgrammed(NamedTuple):
    """One module that a person programmed; `replaced`: the concern says that the module was."""

    technician: str
    event_id: int
    performed_on: date
    make: str
    module: str
    replaced: bool


@dataclass(frozen=True, slots=True)
class SignOffsOnFile:
    """Everything that says who may do what: of people who may still sign in, and what they did before.

    `done`: how often a person programmed a kind of work here, as far as it was asked for.
    """

    sign_offs: tuple[SignOff, ...]
    people: Mapping[str, str]
    done: Mapping[tuple[str, WorkKind], int]

    @property
    def is_empty(self) -> bool:
        """Whether nobody was ever signed off: then nothing is held back."""
        return all(one.taken_back for one in self.sign_offs)

    def of(self, person: str) -> tuple[SignOff, ...]:
        return tuple(one for one in self.sign_offs if one.person == person)


@dataclass(frozen=True, slots=True)
class SignedOff:
    """Who may do these kinds of work on a make on a day, by sign-in name.

    `recorded`: whether anybody is signed off for anything; where nobody is, nothing is held back.
    `alone`: signed off without a co-sign; they may co-sign for the newcomers in `cosigned`.
    """

    make: str
    kinds: tuple[WorkKind, ...]
    on: date
    recorded: bool
    alone: tuple[str, ...] = ()
    cosigned: tuple[str, ...] = ()

    @property
    def is_held_back(self) -> bool:
        """Whether nobody here may do it by what is on file: a reason to send it out, never a law."""
        return self.recorded and not self.alone


def kinds_said(kinds: Iterable[WorkKind]) -> str:
    """Such as "updates and airbags"."""
    return " and ".join(KIND_WORDS[one] for one in kinds)


def in_order(kinds: Iterable[WorkKind]) -> tuple[WorkKind, ...]:
    """Each kind once, in the order in which people read them."""
    asked = set(kinds)
    return tuple(one for one in WorkKind if one in asked)
