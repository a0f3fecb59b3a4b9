"""Candidates of a concern: the updates about it, with the search grade frozen at opening."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from kb.advice.before_plan.candidates import Offered, best_few, frozen, is_about, merge_lineages, offer
from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.advice.concern_words import Said, said_of
from kb.desk.bay.advice.follows_from_words import remembered
from kb.desk.bay.advice.update_names import names_of
from kb.desk.bay.search import families
from kb.desk.bay.search import search as search_desk
from kb.desk.context import Desk
from kb.nouns.advice import NearNote
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.concerns import ConcernDraft
from kb.nouns.vehicles import Applies, Vehicle
from kb.records.store.bay import concerns as store
from kb.records.store.notes import updates as update_store
from kb.search.about import RULE
from kb.search.query import Hit
from kb.vehicle.coverage import applies_to_recorded

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
        offer(update, hit.grade, bool(said.codes) and update.codes.issuperset(said.codes))
        for hit in hits
        if (update := updates.by_id.get(hit.id)) is not None
        and is_about(hit.about, update.defining, present)
        and applies_to_recorded(update.coverage, vehicle, known).applies is not Applies.NO
    )


def on_concern(desk: Desk, file: ConcernFile) -> tuple[Offered, ...]:
    """Those frozen at opening that are about it, then what the shop has learned to find since."""
    updates = updates_desk.on_file(desk)
    known = frozen(file, updates)
    if file.state == "open":
        now = {one.note_id: one for one in _offered_now(desk, file, tuple(one.note_id for one in known))}
        before = {one.note_id: one for one in known if one.note_id in now}
        known = tuple((before | {key: one for key, one in now.items() if key not in before}).values())
    return best_few(merge_lineages(known, updates, file.vehicle.make))


def _offered_now(desk: Desk, file: ConcernFile, frozen_ids: tuple[int, ...]) -> tuple[Offered, ...]:
    """What is about it today, the frozen ones looked at whatever is found besides."""

    def make() -> tuple[Offered, ...]:
        said = said_of(file)
        looked_at = (
            _hits(desk, said, file.vehicle, frozen_ids) if frozen_ids else (),
            _hits(desk, said, file.vehicle),
        )
        return tuple(one for some in looked_at for one in _offered_of(desk, some, said, file.vehicle))

    return remembered(desk, file, "offered", make)


def near_notes(desk: Desk, file: ConcernFile) -> tuple[NearNote, ...]:
    """Notes to read where no update is about the concern: those about it first, then the nearest."""
    return remembered(desk, file, "near notes", lambda: _near(desk, file))


def words_of_notes_about(desk: Desk, file: ConcernFile) -> dict[int, tuple[str, ...]]:
    """By note that the advice takes to be about the concern, the typed words that it holds."""
    return {hit.id: hit.met for hit in _notes(desk, file) if hit.is_about}


def _notes(desk: Desk, file: ConcernFile) -> tuple[Hit, ...]:
    def found() -> tuple[Hit, ...]:
        said = said_of(file)
        return search_desk.matching_notes(desk, said.text, said.codes, file.vehicle, _LOOKED_AT)

    return remembered(desk, file, "notes found", found)


def _near(desk: Desk, file: ConcernFile) -> tuple[NearNote, ...]:
    hits = _not_for_another(desk, _notes(desk, file), file.vehicle)[:NEAR]
    updates, names = updates_desk.on_file(desk), names_of(desk, [hit.id for hit in hits])
    near = [
        NearNote(hit.id, *names[hit.id], about=hit.is_about and hit.id not in updates.by_id)
        for hit in hits
        if hit.id in names
    ]
    return tuple(sorted(near, key=lambda one: not one.about))


def _not_for_another(desk: Desk, hits: Sequence[Hit], vehicle: Vehicle) -> list[Hit]:
    """Without notes for another engine, VIN or build date, which the index does not look at."""
    coverage = update_store.coverage(desk.session, [hit.id for hit in hits])
    known = families.in_force(desk)
    read = {one: applies_to_recorded(lines, vehicle, known).applies for one, lines in coverage.items()}
    return [hit for hit in hits if read.get(hit.id) is not Applies.NO]


def _hits(desk: Desk, said: Said, vehicle: Vehicle, among: tuple[int, ...] = ()) -> tuple[Hit, ...]:
    return search_desk.matching_updates(desk, said.text, said.codes, vehicle, _LOOKED_AT, among)


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
