"""Whether a note's calibration steps close a circle with those of the other published notes."""

from __future__ import annotations

from dataclasses import dataclass

from kb.desk.context import Desk, anyone_in_the_shop, lead_or_owner
from kb.desk.notes.note_faults import folded_makes, refuse_circle
from kb.errors import BadInput
from kb.nouns.notes import NoteDraft, NoteState
from kb.nouns.vehicles import CalibrationStep
from kb.records.store.notes import notes as store


@dataclass(frozen=True, slots=True)
class StepOnFile:
    """A published calibration step with its note and the folded makes that the note covers."""

    note_id: int
    identity: str
    makes: frozenset[str]
    step: CalibrationStep


@anyone_in_the_shop
def steps_beside(desk: Desk) -> tuple[StepOnFile, ...]:
    """Every published calibration step, for looking whether another one closes a circle with them."""
    found = store.published_steps(desk.session, desk.shop.id)
    makes = store.makes_of(desk.session, sorted({note_id for note_id, _, _ in found}))
    return tuple(StepOnFile(i, ident, folded_makes(makes.get(i, ())), step) for i, ident, step in found)


@lead_or_owner
def closes_circle(desk: Desk, draft: NoteDraft, note_id: int) -> bool:
    """Whether this content of that note would close a circle of calibrations."""
    try:
        refuse_a_circle(desk, draft, note_id)
    except BadInput:
        return True
    return False


@lead_or_owner
def refuse_a_circle(desk: Desk, draft: NoteDraft, note_id: int | None = None) -> None:
    """BadInput naming the IDs where the draft, once published, would close a circle; `note_id`: its note."""
    if draft.state is NoteState.PUBLISHED and draft.steps:
        others = [one for one in steps_beside(desk) if one.note_id != note_id]
        refuse_circle(draft, [(one.makes, one.step) for one in others])
