"""Imported visits of reflashed vehicles: here and not asked, or with a complaint that may be the old one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby

from kb.desk.bay.outcomes.observed import renew_outcomes
from kb.desk.bay.search import search_memory
from kb.desk.context import Desk, lead_or_owner
from kb.desk.imports.history_drafts import HOW
from kb.nouns.concerns import FollowUpDraft, FollowUpResult
from kb.records.store.bay import here_again as store
from kb.records.store.bay import searching as text_store
from kb.records.store.bay import writing
from kb.records.store.bay.here_again import Pair
from kb.records.store.bay.writing import Told
from kb.records.store.imports import bulk
from kb.search.same.same_thing import Complaint

AT_ONCE = 400
"""Visits whose complaints are read together."""


@lead_or_owner
def visits_told(desk: Desk, import_id: int, history_rows: Sequence[int] | None = None) -> list[Told]:
    """Of each open outcome of a vehicle that was here again: seen and not asked, which never makes a cure
    (kb/outcomes/observe.py). Where a complaint of that visit is about the same thing nobody can say before
    somebody looked: it is told as not answered, and the call list proposes that visit.

    Reading complaints takes its time, so nothing is written here, while others could not write.
    """
    heard: list[Told] = []
    pairs = store.pairs_of_import(desk.session, import_id, history_rows)
    visits = [tuple(lines) for _, lines in groupby(pairs, key=lambda one: (one.earlier, one.visit_order))]
    for some in bulk.runs(visits, AT_ONCE):
        said = _complaints(desk, {one for lines in some for pair in lines for one in pair.concerns})
        heard += [_heard(*_told(desk, lines, said)) for lines in some]
    return heard


@lead_or_owner
def take_visits(desk: Desk, import_id: int, heard: Sequence[Told]) -> None:
    """Write down what visits told."""
    for some in bulk.runs(heard, AT_ONCE):
        writing.add_follow_ups(desk.session, desk.stamp(import_id), some)
        renew_outcomes(desk, {one.concern_id for one in some})


def _complaints(desk: Desk, concern_ids: set[int]) -> dict[int, Complaint]:
    texts = [
        text for ids in bulk.runs(sorted(concern_ids)) for text in text_store.concern_texts(desk.session, ids)
    ]
    return {one.id: Complaint(f"{one.complaint}. {one.technician_words}", one.codes) for one in texts}


def _told(desk: Desk, lines: Sequence[Pair], said: Mapping[int, Complaint]) -> tuple[Pair, FollowUpResult]:
    """The line of a visit that stands for it, and what it tells of the earlier concern."""
    index = search_memory.index(desk, (search_memory.UPDATE,))
    alike = (one for one in lines if index.same_thing(said[one.visit], said[one.earlier]))
    found = next(alike, None)
    return (found, FollowUpResult.NO_ANSWER) if found else (lines[0], FollowUpResult.SEEN_NOT_ASKED)


def _heard(pair: Pair, result: FollowUpResult) -> Told:
    return Told(pair.earlier, FollowUpDraft(result, pair.visited_on, how=HOW), at_visit=pair.visit)
