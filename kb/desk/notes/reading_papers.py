"""A pasted bulletin, read into proposals for a note. Nothing is saved: a person accepts, changes or drops
each.
"""

from __future__ import annotations

from dataclasses import dataclass

from kb.desk.bay.search import families
from kb.desk.bay.search.search_memory import NOTES_AND_TALK, lexicon_in_force
from kb.desk.context import Desk, anyone_in_the_shop
from kb.intake.text.files import text_of_file
from kb.intake.text.proposal import Proposal
from kb.intake.text.reading import PaperRead, read_text
from kb.nouns.vehicles import CoverageLine
from kb.records.store.notes.makes import models_on_record
from kb.search.vehicle.names_on_file import NamesOnFile, names_in_papers


@dataclass(frozen=True, slots=True)
class Proposed:
    """One value of one field (days as 2026-03-31, a year each) and the words that it was read from.

    `kind` is what is said of a trouble code; `step` counts the calibration steps from 1 where an ID or a
    module belongs to one.
    """

    field: str
    value: str
    read_from: str
    kind: str = ""
    step: int = 0


@dataclass(frozen=True, slots=True)
class ProposedVehicle:
    """A line of coverage put together from what the text says, and the words that name the vehicle."""

    line: CoverageLine
    read_from: str


@dataclass(frozen=True, slots=True)
class PaperProposals:
    """What a text proposes, in the order of the fields and of the text."""

    proposals: tuple[Proposed, ...]
    vehicles: tuple[ProposedVehicle, ...] = ()


@anyone_in_the_shop
def read_paper(desk: Desk, text: str) -> PaperProposals:
    """What the text of a bulletin proposes; BadInput where it is empty, too long or no text."""
    read: PaperRead = read_text(text, _names(desk))
    return PaperProposals(
        tuple(_proposed(one, text) for one in read.proposals),
        tuple(ProposedVehicle(one.line, _words(text[one.begins : one.ends])) for one in read.vehicles),
    )


def paper_text(name: str, data: bytes) -> str:
    """The text of a file, plain or PDF; Unreadable with what to do where there is none in it."""
    return text_of_file(name, data)


def _names(desk: Desk) -> NamesOnFile:
    """Makes and models that notes are for, remembered until a note or shop talk changes."""
    return desk.memory.recall("names in papers", desk.up_to(*NOTES_AND_TALK), lambda: _read_names(desk))


def _read_names(desk: Desk) -> NamesOnFile:
    lines = (CoverageLine(*one) for one in models_on_record(desk.session, desk.shop.id))
    return names_in_papers(lines, lexicon_in_force(desk), families.in_force(desk))


def _proposed(one: Proposal, text: str) -> Proposed:
    return Proposed(one.field.value, one.value, one.read_from(text), one.kind, one.step)


def _words(said: str) -> str:
    return " ".join(said.split())
