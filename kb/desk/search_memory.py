"""One search index per process over published notes and past concerns, current at every request.

Promise: a note or concern committed before a request is found by it, in every process. The index remembers
the revisions it was brought up to and takes in only what changed since; an undone import makes it anew.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass

from kb.desk.context import Desk
from kb.nouns.notes import Note, NoteKind
from kb.nouns.vehicles import CoverageLine, Vehicle
from kb.records.store import notes as note_store
from kb.records.store import searching as store
from kb.records.store.searching import ConcernText
from kb.search.index import SearchIndex
from kb.search.query import IndexEntry
from kb.words.lexicon import Lexicon, make_lexicon, trade_concepts

CONCERN = "concern"


@dataclass(frozen=True, slots=True)
class Seen:
    """The revisions that an index is up to."""

    notes: int
    removed: int
    concerns: int
    lexicon: int


def index(desk: Desk) -> SearchIndex:
    """The index, brought up to what this request's transaction sees."""
    now = desk.revisions()
    seen = Seen(now["notes"], now["notes_removed"], now["concerns"], now["lexicon"])
    return desk.memory.renew("search index", seen, lambda old, held: _renewed(desk, seen, old, held))


def _renewed(desk: Desk, seen: Seen, old: Hashable | None, held: SearchIndex | None) -> SearchIndex:
    if held is None or not isinstance(old, Seen) or _is_past(old, seen):
        return SearchIndex.build(_everything(desk), _lexicon(desk))
    if old.lexicon != seen.lexicon:
        held.use_lexicon(_lexicon(desk))
    if old.notes != seen.notes:
        _take_notes(desk, held, old.notes)
    if old.concerns != seen.concerns:
        for ids in store.in_chunks(store.changed_concerns(desk.session, desk.shop.id, old.concerns)):
            for text in store.concern_texts(desk.session, ids):
                held.put(concern_entry(text))
    return held


def _is_past(old: Seen, seen: Seen) -> bool:
    """Rows were removed, or the index has seen more than this transaction (one that was rolled back)."""
    return old.removed != seen.removed or old.notes > seen.notes or old.concerns > seen.concerns


def _take_notes(desk: Desk, held: SearchIndex, since: int) -> None:
    changed = store.changed_notes(desk.session, desk.shop.id, since)
    for note_id, _published in changed:
        for kind in NoteKind:
            held.remove(note_id, kind.value)
    for note in _notes(desk, [note_id for note_id, published in changed if published]):
        held.put(note_entry(note))


def _everything(desk: Desk) -> Iterator[IndexEntry]:
    published = [note_id for note_id, is_out in store.changed_notes(desk.session, desk.shop.id, -1) if is_out]
    for note in _notes(desk, published):
        yield note_entry(note)
    for ids in store.in_chunks(store.changed_concerns(desk.session, desk.shop.id, -1)):
        for text in store.concern_texts(desk.session, ids):
            yield concern_entry(text)


def _notes(desk: Desk, ids: Sequence[int]) -> Iterator[Note]:
    for some in store.in_chunks(ids):
        yield from note_store.notes_with_ids(desk.session, desk.shop.id, some).values()


def _lexicon(desk: Desk) -> Lexicon:
    changes = store.lexicon_changes(desk.session, desk.shop.id)
    return make_lexicon(
        trade_concepts(),
        added=[(concept, phrase) for concept, phrase, removes in changes if not removes],
        removed=[(concept, phrase) for concept, phrase, removes in changes if removes],
    )


def note_entry(note: Note) -> IndexEntry:
    content = note.content
    return IndexEntry(
        id=note.id,
        kind=content.kind.value,
        title=f"{content.number} {content.title}",
        symptom=" ".join(filter(None, (content.symptom, content.conditions))),
        body=content.body,
        documents=tuple(document.text for document in content.documents),
        codes=content.codes,
        modules=tuple(step.module for step in content.steps),
        coverage=content.coverage,
    )


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
