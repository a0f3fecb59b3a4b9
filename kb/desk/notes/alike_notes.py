"""Notes on the same thing as a draft, looked for by number, calibration IDs, defect and words."""

from __future__ import annotations

from kb.desk.bay.search import families, search_memory
from kb.desk.bay.search.entries import UPDATE
from kb.desk.context import Desk, anyone_in_the_shop
from kb.nouns.notes import Grade, Note, NoteDraft, NoteState
from kb.nouns.vehicles import Vehicle
from kb.records.store.notes import makes as store
from kb.records.store.notes.notes import notes_with_ids
from kb.search.query import Query
from kb.search.same.alike import Alike, Looked, alike
from kb.search.same.wording import said_alike
from kb.words.defect import defect_and_rest
from kb.words.one_defect import defect_keys

KINDS = ("bulletin", UPDATE, "lesson")
_VEHICLES = 3
"""So many vehicles of a draft's coverage are searched for, one after another."""
_HITS = 12
_LONGEST = 1_500
"""Letters of what is wrong that are searched by: what follows is about the remedy, or says it again."""


@anyone_in_the_shop
def alike_notes(desk: Desk, draft: NoteDraft, note_id: int | None = None) -> tuple[Alike, ...]:
    """Notes in use on the same thing, surest first; `note_id` is the draft's own, once it is saved."""
    numbered = [one.id for one in store.notes_numbered(desk.session, desk.shop.id, (draft.number,))]
    defect, hits = _of_defect(desk, draft), _hits(desk, draft)
    wanted = dict.fromkeys((*numbered, *_by_ids(desk, draft), *defect, *hits))
    wanted.pop(note_id or 0, None)
    found = notes_with_ids(desk.session, desk.shop.id, wanted)
    others = [one for one in found.values() if one.content.state is not NoteState.RETIRED]
    said = said_alike(what_is_wrong(draft), {one.id: _texts(one) for one in others if one.id in hits})
    words = {one: like for one, like in said.items() if hits[one] is not Grade.WEAK}
    return alike(draft, others, Looked(defect, words), families.in_force(desk))


def _by_ids(desk: Desk, draft: NoteDraft) -> list[int]:
    new = dict.fromkeys(step.new_id for step in draft.steps if step.new_id.strip())
    found = (store.notes_with_calibration(desk.session, desk.shop.id, one, KINDS, _HITS) for one in new)
    return [note_id for some in found for note_id in some]


def _of_defect(desk: Desk, draft: NoteDraft) -> tuple[int, ...]:
    texts = (draft.title, draft.symptom, draft.body, *(one.text for one in draft.documents))
    keys = defect_keys(draft.number, texts, draft.coverage)
    found = search_memory.index(desk, KINDS).of_one_defect(0, keys) if keys else ()
    return tuple(note_id for note_id, _ in found)


def _hits(desk: Desk, draft: NoteDraft) -> dict[int, Grade]:
    """What the search finds for the fault, for the first vehicles named, each note at its best grade."""
    text, codes = what_is_wrong(draft), tuple(str(one) for one in draft.codes)
    if not text:
        return {}
    named = list(dict.fromkeys((line.make.strip(), line.model.strip()) for line in draft.coverage))
    held, graded = search_memory.index(desk, KINDS), dict[int, Grade]()
    for make, model in named[:_VEHICLES] or [("", "")]:
        asked = Query(text, codes, Vehicle(make, model), kinds=KINDS, limit=_HITS, reads_vehicle=False)
        for hit in held.search(asked).results:
            graded[hit.id] = min(hit.grade, graded.get(hit.id, Grade.WEAK), key=list(Grade).index)
    return graded


def what_is_wrong(draft: NoteDraft) -> str:
    """The words of a draft that tell the fault: title and symptom, and its text up to the remedy."""
    head = defect_and_rest(draft.body)[0]
    return " ".join(" ".join((draft.title, draft.symptom, head)).split())[:_LONGEST]


def _texts(note: Note) -> tuple[str, ...]:
    """What is held against a draft, text by text: a long explanation must not drown a short symptom."""
    it = note.content
    short = (f"{it.title} {it.symptom}",) if it.symptom.strip() else ()
    return (what_is_wrong(it), *short, *(one.text for one in it.documents))
