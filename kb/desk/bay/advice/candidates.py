"""Candidates of a concern: the updates about it, with the search grade frozen at opening.

Updates of one lineage are one candidate, the one with the newest ID.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from kb.advice.before_plan.candidates import Offered, best_few, is_about
from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.advice.remembered import remembered
from kb.desk.bay.advice.said import Said, said_of
from kb.desk.bay.advice.update_names import names_of
from kb.desk.bay.advice.updates import UpdateOnFile, UpdatesOnFile
from kb.desk.bay.concern.vehicles import vehicle_of
from kb.desk.bay.search import families
from kb.desk.bay.search import search as search_desk
from kb.desk.context import Desk
from kb.nouns.advice import NearNote
from kb.nouns.concerns import ConcernDraft, ReportedCode
from kb.nouns.notes import Grade, Remedy
from kb.nouns.vehicles import Applies, Vehicle
from kb.records.store.bay import concerns as store
from kb.records.store.bay.concerns import ConcernOnFile
from kb.search.about import RULE
from kb.search.query import Hit
from kb.vehicle.coverage import applies_to_recorded
from kb.vehicle.lineage import Lineage, fold_id

_LOOKED_AT = 30
NEAR = 3


def offered_at_opening(desk: Desk, draft: ConcernDraft) -> tuple[Offered, ...]:
    """The updates about this complaint that may be for this vehicle, best first."""
    said, updates = said_of(draft), updates_desk.on_file(desk)
    offered = _offered_of(desk, _hits(desk, said, draft.vehicle), said, draft.vehicle)
    return best_few(merge_lineages(offered, updates, draft.vehicle.make))


def _offered_of(desk: Desk, hits: Iterable[Hit], said: Said, vehicle: Vehicle) -> tuple[Offered, ...]:
    """Of what was found, the updates about what was said whose coverage does not rule the vehicle out."""
    present, updates, known = said.codes_present, updates_desk.on_file(desk), families.in_force(desk)
    return tuple(
        _offer(update, hit.grade, bool(said.codes) and update.codes.issuperset(said.codes))
        for hit in hits
        if (update := updates.by_id.get(hit.id)) is not None
        and is_about(hit.about, update.defining, present)
        and applies_to_recorded(update.coverage, vehicle, known).applies is not Applies.NO
    )


def _offer(update: UpdateOnFile, grade: Grade, all_codes_named: bool) -> Offered:
    return Offered(update.note_id, grade, all_codes_named, (), update.ids_known, update.is_recall)


def on_concern(desk: Desk, held: ConcernOnFile) -> tuple[Offered, ...]:
    """Those frozen at opening that are about it, then what the shop has learned to find since."""
    updates = updates_desk.on_file(desk)
    known = frozen(desk, held.concern.id or 0, updates)
    if held.concern.state == "open":
        now = {one.note_id: one for one in _offered_now(desk, held, tuple(one.note_id for one in known))}
        before = {one.note_id: one for one in known if one.note_id in now}
        known = tuple((before | {key: one for key, one in now.items() if key not in before}).values())
    return best_few(merge_lineages(known, updates, held.vehicle.make))


def _offered_now(desk: Desk, held: ConcernOnFile, frozen_ids: tuple[int, ...]) -> tuple[Offered, ...]:
    """What is about it today, the frozen ones looked at whatever is found besides."""

    def make() -> tuple[Offered, ...]:
        draft = draft_of(desk, held)
        said = said_of(draft)
        looked_at = (
            _hits(desk, said, draft.vehicle, frozen_ids) if frozen_ids else (),
            _hits(desk, said, draft.vehicle),
        )
        return tuple(one for some in looked_at for one in _offered_of(desk, some, said, draft.vehicle))

    return remembered(desk, held, "offered", make)


def near_notes(desk: Desk, held: ConcernOnFile) -> tuple[NearNote, ...]:
    """Notes to read where no update is about the concern: those about it first, then the nearest."""
    return remembered(desk, held, "near notes", lambda: _near(desk, held))


def _near(desk: Desk, held: ConcernOnFile) -> tuple[NearNote, ...]:
    draft = draft_of(desk, held)
    said = said_of(draft)
    hits = search_desk.matching_notes(desk, said.text, said.codes, draft.vehicle, NEAR)
    updates, names = updates_desk.on_file(desk), names_of(desk, [hit.id for hit in hits])
    near = [
        NearNote(hit.id, *names[hit.id], about=hit.about and hit.id not in updates.by_id)
        for hit in hits
        if hit.id in names
    ]
    return tuple(sorted(near, key=lambda one: not one.about))


def _hits(desk: Desk, said: Said, vehicle: Vehicle, among: tuple[int, ...] = ()) -> tuple[Hit, ...]:
    return search_desk.matching_updates(desk, said.text, said.codes, vehicle, _LOOKED_AT, among)


def said_on(desk: Desk, held: ConcernOnFile) -> Said:
    """What is said about a concern on file."""
    return said_of(draft_of(desk, held))


def draft_of(desk: Desk, held: ConcernOnFile) -> ConcernDraft:
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


def merge_lineages(offered: Sequence[Offered], updates: UpdatesOnFile, make: str) -> tuple[Offered, ...]:
    """Of updates whose targets lie on one chain, the one that ends it, with the best grade of them.

    Without IDs nobody knows the chain, and what is cured by a part too is another thing: neither is merged.
    """
    lineage = updates.lineage(make)
    kept: dict[tuple[Remedy, int, frozenset[str]], Offered] = {}
    for one in offered:
        update = updates.by_id[one.note_id]
        chain = _ends(update, lineage)
        alike = (update.remedy_or_software, 0 if chain else one.note_id, chain)
        held = kept.get(alike)
        kept[alike] = one if held is None else _newer(held, one, updates, chain)
    return tuple(kept.values())


def freeze(desk: Desk, concern_id: int, offered: Iterable[Offered]) -> None:
    """Write down what was offered, so that what is learned later rests on what was seen now."""
    updates = updates_desk.on_file(desk)
    rows = [
        {
            "concern_id": concern_id,
            "note_id": one.note_id,
            "position": position,
            "grade": one.grade.value,
            "all_codes_named": one.all_codes_named,
            "about": True,
            "about_rule": RULE,
            "about_version": updates.by_id[one.note_id].version,
        }
        for position, one in enumerate(offered)
    ]
    store.add_candidates(desk.session, rows)


def frozen(desk: Desk, concern_id: int, updates: UpdatesOnFile) -> tuple[Offered, ...]:
    """The candidates frozen at opening that are still published (or merged into one that is)."""
    offered: dict[int, Offered] = {}
    for row in store.candidates(desk.session, concern_id):
        note_id = updates.kept(row.note_id)
        if row.grade and row.about is not False and note_id in updates.by_id and note_id not in offered:
            offered[note_id] = _offer(updates.by_id[note_id], Grade(row.grade), row.all_codes_named)
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
