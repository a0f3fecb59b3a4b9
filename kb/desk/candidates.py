"""Candidates of a concern: the updates that may be the fix, with the search grade frozen at opening.

At most three, best first, weak ones only where nothing matches better; updates of one lineage are one
candidate, the one with the newest ID.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from kb.desk import families
from kb.desk import search as search_desk
from kb.desk import updates as updates_desk
from kb.desk.context import Desk
from kb.desk.updates import UpdateOnFile, UpdatesOnFile
from kb.desk.vehicles import vehicle_of
from kb.nouns.concerns import ConcernDraft, ReportedCode
from kb.nouns.notes import Grade
from kb.nouns.vehicles import Applies
from kb.records.store import concerns as store
from kb.records.store.concerns import ConcernOnFile
from kb.vehicle.coverage import applies_to_recorded
from kb.vehicle.lineage import Lineage, fold_id

MOST = 3
_LOOKED_AT = 30


@dataclass(frozen=True, slots=True)
class Offered:
    """An update that the search offers. `merged` are older ones of its lineage that it stands for."""

    note_id: int
    grade: Grade
    all_codes_named: bool
    merged: tuple[int, ...] = ()


def offered_at_opening(desk: Desk, draft: ConcernDraft) -> tuple[Offered, ...]:
    """What the search offers for this complaint and vehicle, best first."""
    codes = tuple(one.code for one in draft.codes)
    found = search_desk.matching_updates(desk, words_of(draft), codes, draft.vehicle, _LOOKED_AT)
    updates, known = updates_desk.on_file(desk), families.in_force(desk)
    offered = [
        Offered(hit.id, hit.grade, bool(codes) and updates.by_id[hit.id].codes.issuperset(codes))
        for hit in found
        if hit.id in updates.by_id
        and applies_to_recorded(updates.by_id[hit.id].coverage, draft.vehicle, known).applies
        is not Applies.NO
    ]
    return best_few(merge_lineages(offered, updates, draft.vehicle.make))


def best_few(offered: Sequence[Offered]) -> tuple[Offered, ...]:
    """At most three; weak matches only where nothing matches better.

    A weak match beside a better one is nearly always chance (a shared "when warm"), and being considered
    a hundred times by chance would drown what an update's own concerns say of it.
    """
    better = [one for one in offered if one.grade is not Grade.WEAK]
    return tuple((better or list(offered))[:MOST])


def offered_now(desk: Desk, held: ConcernOnFile) -> tuple[Offered, ...]:
    """What the search offers today for a concern on file; remembered until concern, notes or words change."""
    revisions = desk.revisions()
    concern_id = held.concern.id or 0
    key = (
        held.concern.version,
        held.vehicle.version,
        *(revisions[topic] for topic in ("notes", "notes_removed", "lexicon")),
    )
    return desk.memory.recall(
        ("offered", concern_id), key, lambda: offered_at_opening(desk, _draft(desk, held))
    )


def _draft(desk: Desk, held: ConcernOnFile) -> ConcernDraft:
    row = held.concern
    return ConcernDraft(
        ro_number=held.repair_order.number,
        complaint=row.complaint,
        technician_words=row.technician_words,
        vehicle=vehicle_of(held.vehicle),
        codes=tuple(ReportedCode(one.code) for one in store.codes(desk.session, row.id or 0)),
        conditions=tuple(row.conditions),
        started=row.started,
    )


def words_of(draft: ConcernDraft) -> str:
    """Everything said about the concern, as one text to search with."""
    said = (draft.complaint, draft.technician_words, " ".join(draft.conditions), draft.started)
    return " ".join(filter(None, said))


def merge_lineages(offered: Sequence[Offered], updates: UpdatesOnFile, make: str) -> tuple[Offered, ...]:
    """Of updates whose targets lie on one chain, the one that ends it, with the best grade of them."""
    lineage = updates.lineage(make)
    kept: dict[frozenset[str], Offered] = {}
    for one in offered:
        chain = _ends(updates.by_id[one.note_id], lineage)
        held = kept.get(chain)
        kept[chain] = one if held is None else _newer(held, one, updates, chain)
    return tuple(kept.values())


def freeze(desk: Desk, concern_id: int, offered: Iterable[Offered]) -> None:
    """Write down what was offered, so that what is learned later rests on what was seen now."""
    rows = [
        {
            "concern_id": concern_id,
            "note_id": one.note_id,
            "position": position,
            "grade": one.grade.value,
            "all_codes_named": one.all_codes_named,
        }
        for position, one in enumerate(offered)
    ]
    store.add_candidates(desk.session, rows)


def frozen(desk: Desk, concern_id: int, updates: UpdatesOnFile) -> tuple[Offered, ...]:
    """The candidates frozen at opening that are still published (or merged into one that is)."""
    offered: dict[int, Offered] = {}
    for row in store.candidates(desk.session, concern_id):
        note_id = updates.kept(row.note_id)
        if row.grade and note_id in updates.by_id and note_id not in offered:
            offered[note_id] = Offered(note_id, Grade(row.grade), row.all_codes_named)
    return tuple(offered.values())


def _ends(update: UpdateOnFile, lineage: Lineage) -> frozenset[str]:
    ends = {
        f"{fold_id(step.module)} {fold_id(newest)}"
        for step in update.steps
        for newest in lineage.newest(step.module, step.new_id) or (step.new_id,)
    }
    return frozenset(ends)


def _newer(held: Offered, other: Offered, updates: UpdatesOnFile, chain: frozenset[str]) -> Offered:
    def reaches(one: Offered) -> int:
        steps = updates.by_id[one.note_id].steps
        return sum(f"{fold_id(step.module)} {fold_id(step.new_id)}" in chain for step in steps)

    newest, older = (other, held) if reaches(other) > reaches(held) else (held, other)
    best = min(held.grade, other.grade, key=list(Grade).index)
    return replace(newest, grade=best, merged=(*newest.merged, older.note_id, *older.merged))
