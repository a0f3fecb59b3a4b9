"""Whether a note's calibration steps close a circle with those of the other published notes."""

from __future__ import annotations

from collections.abc import Iterable
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
def steps_beside(desk: Desk, drafts: Iterable[NoteDraft]) -> tuple[StepOnFile, ...]:
    """Every published calibration step, to hold these drafts against; none where none of them joins them."""
    if not any(map(joins_the_steps, drafts)):
        return ()
    found = store.published_steps(desk.session, desk.shop.id)
    makes = store.makes_of(desk.session, sorted({note_id for note_id, _, _ in found}))
    return tuple(StepOnFile(i, ident, folded_makes(makes.get(i, ())), step) for i, ident, step in found)


def joins_the_steps(draft: NoteDraft) -> bool:
    """Whether its steps stand among the published ones once it is saved."""
    return draft.state is NoteState.PUBLISHED and bool(draft.steps)


def closes_circle(draft: NoteDraft, note_id: int, beside: Iterable[StepOnFile]) -> bool:
    """Whether this content of that note would close a circle of calibrations with the steps on file."""
    try:
        _refuse_among(draft, note_id, beside)
    except BadInput:
        return True
    return False


@lead_or_owner
def refuse_a_circle(desk: Desk, draft: NoteDraft, note_id: int | None = None) -> None:
    """BadInput naming the IDs where the draft, once published, would close a circle; `note_id`: its note."""
    _refuse_among(draft, note_id, steps_beside(desk, (draft,)))


def _refuse_among(draft: NoteDraft, note_id: int | None, beside: Iterable[StepOnFile]) -> None:
    if joins_the_steps(draft):
        refuse_circle(draft, [(one.makes, one.step) for one in beside if one.note_id != note_id])
