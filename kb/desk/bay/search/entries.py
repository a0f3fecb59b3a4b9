"""Notes and past concerns as the search takes them."""

from __future__ import annotations

from kb.intake.government.titles import NOT_TOLD
from kb.nouns.notes import is_update
from kb.nouns.vehicles import CoverageLine, Vehicle
from kb.records.store.bay.searching import ConcernText
from kb.records.store.notes.note_texts import NoteText
from kb.search.query import IndexEntry
from kb.words.one_defect import defect_keys, recall_number

CONCERN = "concern"
UPDATE = "update"


def note_entry(note: NoteText) -> IndexEntry:
    """What of a note is searched; a title that says only that nothing is told is none."""
    return IndexEntry(
        id=note.id,
        kind=UPDATE if is_update(note.kind, note.remedy, has_steps=bool(note.modules)) else note.kind,
        title=note.number if note.title == NOT_TOLD else f"{note.number} {note.title}",
        symptom=note.symptom,
        conditions=note.conditions,
        body=note.body,
        documents=note.documents,
        codes=note.codes,
        modules=note.modules,
        coverage=note.coverage,
        same_as=_same_as(note),
    )


def _same_as(note: NoteText) -> frozenset[str]:
    """By what a recall is of one defect with others; other notes stand alone."""
    if not (note.documents or recall_number(note.number)):
        return frozenset()
    texts = (note.title, note.symptom, note.body, *note.documents)
    return defect_keys(note.number, texts, note.coverage)


def concern_entry(text: ConcernText) -> IndexEntry:
    return IndexEntry(
        id=text.id,
        kind=CONCERN,
        title=text.complaint,
        symptom=text.technician_words,
        body=text.other_cause,
        codes=text.codes,
        coverage=_own_coverage(text.vehicle),
    )


def _own_coverage(vehicle: Vehicle) -> tuple[CoverageLine, ...]:
    if not vehicle.make:
        return ()
    years = ((vehicle.year, vehicle.year),) if vehicle.year else ()
    return (CoverageLine(vehicle.make, vehicle.model, years),)
