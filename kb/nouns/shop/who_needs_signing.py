"""Who needs signing off: work done or begun without it, makes that nobody may do, and what ends soon."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from kb.nouns.days import day_words
from kb.nouns.shop.sign_offs import AccessKind, WorkKind, kinds_said

LOOKED_BACK_DAYS, LOOKED_AHEAD_DAYS = 90, 30
"""How far back work without a sign-off is told, and how far ahead what ends. Guesses."""
ACCESS_WORDS = {
    AccessKind.SECURITY_CREDENTIAL: "security credential",
    AccessKind.GATEWAY_REGISTRATION: "gateway registration",
}


@dataclass(frozen=True, slots=True)
class WorkSeen:
    """Work that a person programmed (`on`), or prepares on an open concern (`concern_id`)."""

    person: str
    make: str
    kinds: tuple[WorkKind, ...]
    on: date | None = None
    concern_id: int | None = None
    ref: str = ""


@dataclass(frozen=True, slots=True)
class OpenWork:
    """Work that open concerns of a make may come to, and how many they are."""

    make: str
    kinds: tuple[WorkKind, ...]
    concerns: int


@dataclass(frozen=True, slots=True)
class WithoutSignOff:
    """A person who did or prepares work of these kinds and is not signed off for them today."""

    person: str
    called: str
    work: WorkSeen

    @property
    def sentence(self) -> str:
        return f"{self.called}: {self.said}"

    @property
    def said(self) -> str:
        """Without the name: "updates of Tarn (programmed Oct 28, 2026)"."""
        did = f"programmed {day_words(self.work.on)}" if self.work.on else f"prepares {self.work.ref}"
        make = f" of {self.work.make}" if self.work.make else ""
        return f"{kinds_said(self.work.kinds)}{make} ({did})"


@dataclass(frozen=True, slots=True)
class MakeWithout:
    """A make with open concerns for which nobody is signed off."""

    work: OpenWork

    @property
    def sentence(self) -> str:
        one = self.work.concerns == 1
        waiting = "1 concern is open" if one else f"{self.work.concerns} concerns are open"
        return f"Nobody is signed off for {kinds_said(self.work.kinds)} of {self.work.make}; {waiting}"


@dataclass(frozen=True, slots=True)
class Ends:
    """A sign-off or somebody's own access whose last day is near or has passed, with nothing after it."""

    person: str
    called: str
    what: str
    make: str
    on: date
    is_over: bool

    @property
    def sentence(self) -> str:
        return f"{self.called}: {self.said}"

    @property
    def said(self) -> str:
        """Without the name: "sign-off for airbags of Tarn ends Nov 12, 2026"."""
        of = f" of {self.make}" if self.make else ", every make"
        return f"{self.what}{of} {'ended' if self.is_over else 'ends'} {day_words(self.on)}"


@dataclass(frozen=True, slots=True)
class WhoNeedsSigning:
    """`recorded`: whether anybody is signed off for anything; where nobody is, nothing is held back."""

    recorded: bool
    people: tuple[WithoutSignOff, ...]
    makes: tuple[MakeWithout, ...]
    ends: tuple[Ends, ...]

    def of(self, person: str) -> tuple[WithoutSignOff, ...]:
        """What one person lacks, a line for each make."""
        return tuple(one for one in self.people if one.person == person)

    @property
    def nobody(self) -> bool:
        return self.recorded and not self.people and not self.makes and not self.ends
