"""Imported visits of reflashed vehicles: here and not asked, or with a complaint that may be the old one."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from kb.desk.bay.outcomes.observed import renew_outcomes, renew_vehicles
from kb.desk.bay.search import search_memory
from kb.desk.bay.search.entries import UPDATE
from kb.desk.context import Desk, lead_or_owner
from kb.desk.imports.history_drafts import HOW
from kb.nouns.concerns import FollowUpDraft, FollowUpResult
from kb.records.store.bay import here_again as store
from kb.records.store.bay import searching as text_store
from kb.records.store.bay import writing
from kb.records.store.bay.here_again import Pair, ToldByVisit
from kb.records.store.bay.writing import Told
from kb.records.store.imports import bulk
from kb.records.store.imports import history_told as history_store
from kb.search.same.same_thing import Complaint

AT_ONCE = 400
"""Visits whose complaints are read together."""


@dataclass(frozen=True, slots=True)
class ToldByVisits:
    """What the visits of these vehicles tell, by the import that each was brought by."""

    vehicles: frozenset[int]
    heard: tuple[tuple[int, Told], ...]


@lead_or_owner
def told_since(desk: Desk, import_id: int) -> ToldByVisits:
    """The same of the vehicles whose rows that import took."""
    return visits_told(desk, history_store.vehicles_of_import(desk.session, import_id))


@lead_or_owner
def visits_told(desk: Desk, vehicles: Iterable[int]) -> ToldByVisits:
    """Of each open outcome of a vehicle that was here again: seen and not asked, which never makes a cure
    (kb/outcomes/observe.py). Where a complaint of that visit is about the same thing nobody can say before
    somebody looked: it is told as not answered, and the call list proposes that visit.

    It follows from what is on file, whichever import came first. Reading complaints takes its time, so
    nothing is written here, while others could not write.
    """
    theirs = frozenset(vehicles)
    heard: list[tuple[int, Told]] = []
    pairs = store.pairs_of_vehicles(desk.session, theirs)
    visits = [tuple(lines) for _, lines in groupby(pairs, key=lambda one: (one.earlier, one.visit_order))]
    for some in bulk.runs(visits, AT_ONCE):
        said = _complaints(desk, {one for lines in some for pair in lines for one in pair.concerns})
        heard += [_heard(*_told(desk, lines, said)) for lines in some]
    return ToldByVisits(theirs, tuple(heard))


@lead_or_owner
def take_visits(desk: Desk, told: ToldByVisits) -> None:
    """Write down what visits tell now; what is on file as they tell it stays, and what is not goes."""
    on_file = store.told_by_visits(desk.session, told.vehicles)
    wanted = {_as_told(one): (brought_by, one) for brought_by, one in told.heard}
    gone = {at: one for one, at in on_file.items() if one not in wanted}
    store.forget_told(desk.session, gone)
    new = sorted((wanted[one] for one in wanted.keys() - on_file.keys()), key=_by_import_and_visit)
    for brought_by, some in groupby(new, key=lambda one: one[0]):
        for few in bulk.runs([one for _, one in some], AT_ONCE):
            writing.add_follow_ups(desk.session, desk.stamp(brought_by), few)
    renew_outcomes(desk, {one.concern_id for one in gone.values()} | {one.concern_id for _, one in new})


@lead_or_owner
def renew_with_visits(desk: Desk, vehicles: Collection[int]) -> None:
    """Bring outcomes of these vehicles, and what visits told of them, up to what is on file now."""
    renew_vehicles(desk, vehicles)
    take_visits(desk, visits_told(desk, vehicles))


def _as_told(one: Told) -> ToldByVisit:
    return ToldByVisit(one.concern_id, one.at_visit or 0, one.draft.result.value, one.draft.seen_on)


def _by_import_and_visit(one: tuple[int, Told]) -> tuple[int, ToldByVisit]:
    return one[0], _as_told(one[1])


def _complaints(desk: Desk, concern_ids: set[int]) -> dict[int, Complaint]:
    texts = [
        text for ids in bulk.runs(sorted(concern_ids)) for text in text_store.concern_texts(desk.session, ids)
    ]
    return {one.id: Complaint(f"{one.complaint}. {one.technician_words}", one.codes) for one in texts}


def _told(desk: Desk, lines: Sequence[Pair], said: Mapping[int, Complaint]) -> tuple[Pair, FollowUpResult]:
    """The line of a visit that stands for it, and what it tells of the earlier concern."""
    index = search_memory.index(desk, (UPDATE,))
    alike = (one for one in lines if index.same_thing(said[one.visit], said[one.earlier]))
    found = next(alike, None)
    return (found, FollowUpResult.NO_ANSWER) if found else (lines[0], FollowUpResult.SEEN_NOT_ASKED)


def _heard(pair: Pair, result: FollowUpResult) -> tuple[int, Told]:
    draft = FollowUpDraft(result, pair.visited_on, how=HOW)
    return pair.brought_by, Told(pair.earlier, draft, at_visit=pair.visit)
