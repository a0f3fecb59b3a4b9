"""Which updates may be the fix of a concern: those about it, at most three, best first.

Updates of one lineage are one candidate, the one with the newest ID.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.notes import Grade, Remedy
from kb.nouns.vehicles import fold_id
from kb.vehicle.lineage import Lineage
from kb.vehicle.replaced import standing_in
from kb.vehicle.updates_on_file import UpdateOnFile, UpdatesOnFile

MOST = 3


@dataclass(frozen=True, slots=True)
class Offered:
    """An update that the search offers. `merged` are older ones of its lineage that it stands for.

    `ids_known` is false where its remedy is software but no calibration ID is on file.
    """

    note_id: int
    grade: Grade
    all_codes_named: bool
    merged: tuple[int, ...] = ()
    ids_known: bool = True
    is_recall: bool = False

    @property
    def is_bare_recall(self) -> bool:
        return self.is_recall and not self.ids_known


def is_about(symptom_told: bool, defining: Collection[str], present: Collection[str]) -> bool:
    """Whether a note is about a concern: it tells a symptom of it, or a code that defines its condition is
    present. Words that are merely shared, and codes that many faults store, are no reason to program.
    """
    return symptom_told or not {_base(code) for code in defining}.isdisjoint(map(_base, present))


def _base(code: str) -> str:
    """The code without its failure type, which a scan or a bulletin may leave out."""
    return code.partition("-")[0]


def best_few(offered: Sequence[Offered]) -> tuple[Offered, ...]:
    """At most three; weak matches only where nothing matches better.

    One without IDs comes after those with IDs that match as well. Of recalls without IDs at most one is
    among them unless nothing else is about it: they name no calibration, and a look-up by VIN tells of all.
    """
    better = [one for one in offered if one.grade is not Grade.WEAK]
    return tuple(_one_bare_recall(_ids_first(better or list(offered)))[:MOST])


def _ids_first(offered: Sequence[Offered]) -> list[Offered]:
    """Each without IDs behind the last that matches as well or better; else in the order they came."""
    ranked = [one for one in offered if one.ids_known]
    for one in (one for one in offered if not one.ids_known):
        as_good = [at for at, other in enumerate(ranked) if _rank(other) <= _rank(one)]
        ranked.insert(max(as_good, default=-1) + 1, one)
    return ranked


def _rank(one: Offered) -> int:
    return list(Grade).index(one.grade)


def _one_bare_recall(ranked: Sequence[Offered]) -> list[Offered]:
    if all(one.is_bare_recall for one in ranked):
        return list(ranked)
    first = next((one for one in ranked if one.is_bare_recall), None)
    return [one for one in ranked if one is first or not one.is_bare_recall]


def offer(update: UpdateOnFile, grade: Grade, all_codes_named: bool) -> Offered:
    return Offered(update.note_id, grade, all_codes_named, (), update.ids_known, update.is_recall)


def frozen(file: ConcernFile, updates: UpdatesOnFile) -> tuple[Offered, ...]:
    """The candidates frozen at opening that are still published (or merged into one that is)."""
    offered: dict[int, Offered] = {}
    for row in file.offered:
        note_id = updates.kept(row.note_id)
        if row.grade and row.about is not False and note_id in updates.by_id and note_id not in offered:
            offered[note_id] = offer(updates.by_id[note_id], Grade(row.grade), row.all_codes_named)
    return tuple(offered.values())


def merge_lineages(offered: Sequence[Offered], updates: UpdatesOnFile, make: str) -> tuple[Offered, ...]:
    """Of updates whose targets lie on one chain, the one that ends it, with the best grade of them.

    Without IDs nobody knows the chain, and what is cured by a part too is another thing: neither is merged.
    One whose replacement is offered, as that says itself, is not.
    """
    offered = merge_replaced(offered, updates)
    lineage = updates.lineage(make)
    kept: dict[tuple[Remedy, int, frozenset[str]], Offered] = {}
    for one in offered:
        update = updates.by_id[one.note_id]
        chain = _ends(update, lineage)
        alike = (update.remedy_or_software, 0 if chain else one.note_id, chain)
        held = kept.get(alike)
        kept[alike] = one if held is None else _newer(held, one, updates, chain)
    return tuple(kept.values())


def merge_replaced(offered: Sequence[Offered], updates: UpdatesOnFile) -> tuple[Offered, ...]:
    """Without those whose replacement is offered too: it stands for them, with the best grade of them."""
    kept = {one.note_id: one for one in offered}
    for one in offered:
        newer = next((new for new in standing_in(one.note_id, updates.replaced) if new in kept), None)
        if newer is not None:
            older, held = kept.pop(one.note_id), kept[newer]
            best = min(held.grade, older.grade, key=list(Grade).index)
            kept[newer] = replace(held, grade=best, merged=(*held.merged, older.note_id, *older.merged))
    return tuple(kept.values())


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
