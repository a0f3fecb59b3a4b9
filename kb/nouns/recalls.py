"""Recalls and campaigns on file for a vehicle's model, and what its VIN was found to have of them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from kb.nouns.vehicles import Applies


class RecallResult(StrEnum):
    """What the look-up by VIN said of one recall; `none_open` is said of all of them at once.

    An empty result takes back what was said before.
    """

    OPEN = "open"
    NOT_FOR_THIS_VIN = "not_for_this_vin"
    DONE = "done"
    NONE_OPEN = "none_open"
    TAKEN_BACK = ""


class RecallKind(StrEnum):
    """A recall is by law; a campaign is the manufacturer's own, and expires by date or miles."""

    RECALL = "recall"
    CAMPAIGN = "campaign"


IF_OPEN = (
    "An open recall is free at the dealer within 15 years of first sale "
    "(tires five; from memory, 49 USC 30120). Its remedy may not be out yet: ask before the vehicle is sent."
)
_EMISSIONS = (
    "US engine computers may be under the federal emissions warranty, 8 years or 80,000 miles "
    "(from memory, 40 CFR 85.2103); states differ. The manufacturer and the law decide."
)
SAID = (
    "Notes apply by model, a recall by VIN: one look-up by VIN at the manufacturer or the government tells.",
    IF_OPEN,
    "Campaigns expire by date or miles. A bulletin is no coverage.",
    _EMISSIONS,
)
"""What goes with recalls wherever they are shown. Common practice, no source, unless said."""


@dataclass(frozen=True, slots=True)
class RecallOnFile:
    """A recall or campaign that covers make, model and year, or may. `standing` says so in words.

    `touches` are the words that it shares with the concern, or the modules; none: it is about something else.
    """

    note_id: int
    number: str
    title: str
    kind: RecallKind
    applies: Applies
    standing: str
    touches: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RecallSaid:
    """One entry of a look-up by VIN, oldest first. An empty number means all, or one not named.

    `touches` is what the person said of it on this very concern; None: nothing.
    """

    number: str
    result: RecallResult
    by: str
    on: date
    touches: bool | None = None


@dataclass(frozen=True, slots=True)
class RecallStanding:
    """One recall as it stands: on file, said of the VIN, or both. `note_id` None: not on file here."""

    number: str
    note_id: int | None
    title: str
    kind: RecallKind
    applies: Applies
    standing: str
    touches: bool
    shares: tuple[str, ...] = ()
    result: RecallResult = RecallResult.TAKEN_BACK
    by: str = ""
    on: date | None = None

    @property
    def is_open(self) -> bool:
        return self.result is RecallResult.OPEN


@dataclass(frozen=True, slots=True)
class RecallsOfConcern:
    """Every recall and campaign of one concern's vehicle, those that touch it first.

    `vehicle_known` is false without a make and model: then nobody knows what is on file. `none_open` is the
    look-up that found nothing open, if none since says otherwise.
    """

    recalls: tuple[RecallStanding, ...] = ()
    none_open: RecallSaid | None = None
    vehicle_known: bool = True

    @property
    def open_ones(self) -> tuple[RecallStanding, ...]:
        return tuple(one for one in self.recalls if one.is_open)

    @property
    def on_file(self) -> int:
        return sum(one.note_id is not None for one in self.recalls)

    @property
    def perhaps(self) -> int:
        """How many of those on file may be for the vehicle: nobody can tell from what is known of it."""
        return sum(one.note_id is not None and one.applies is Applies.CANNOT_TELL for one in self.recalls)

    @property
    def gate(self) -> str:
        """The recall gate: `fault` while one is open, `fine` if none is, empty while not all is looked up.

        One that is not on file tells nothing of the others: with nothing on file only a look-up that found
        none settles it.
        """
        if self.open_ones:
            return "fault"
        all_known = self.vehicle_known and self.on_file and all(one.result for one in self.recalls)
        settled = self.none_open or all_known
        return "fine" if settled else ""
