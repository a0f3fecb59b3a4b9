"""Bodies of `GET /api/search`."""

from __future__ import annotations

from pydantic import Field

from api.schemas.base import Out
from kb.nouns.advice_inputs import CureRecord


class WhyOut(Out):
    """One typed word, what it was read as, the words of the note that it matched, and through what."""

    typed: str
    read_as: str
    matched: str
    through: str


class ResultOut(Out):
    """A note or a past concern; `counted`: what one closed as cured by its reflash counts as today; `also`:
    the numbers of other notes of the same defect, `replaced_by` those of notes that say they replace it, each
    there only where there are any.
    """

    kind: str
    id: int
    number: str
    title: str
    score: float
    grade: str
    applies: str
    why: list[WhyOut]
    record: CureRecord | None
    counted: str
    also: list[str] = Field(default_factory=list)
    replaced_by: list[str] = Field(default_factory=list)


class CorrectionOut(Out):
    typed: str
    read_as: str


class ReadVehicleOut(Out):
    """The vehicle that the words were read to be about; what they do not say is empty or null."""

    make: str
    model: str
    year: int | None
    engine: str


class SearchOut(Out):
    """`message`, `denied` ("does not stall") and `read_vehicle` are there only when there is something to
    say.
    """

    results: list[ResultOut]
    corrections: list[CorrectionOut]
    denied: list[str] = Field(default_factory=list)
    read_vehicle: ReadVehicleOut | None = None
    message: str | None = None
