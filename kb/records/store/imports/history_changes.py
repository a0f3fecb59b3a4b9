"""Changing what a history brought: outcomes, reflashes and follow-ups of a whole batch at a time."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import or_, select
from sqlmodel import Session, col

from kb.nouns.concerns import FollowUpDraft
from kb.records.store.imports.bulk import delete_where, runs
from kb.records.tables import (
    ConcernCandidate,
    ConcernRow,
    FollowUpRow,
    ImportedRow,
    Outcome,
    Reflash,
)


@dataclass(frozen=True, slots=True)
class ToldAnew:
    """A reflash of a concern, and the columns of its outcome and of itself as a history now tells them."""

    concern_id: int
    update_id: int | None
    reflashed_on: date
    facts: Mapping[str, Any]
    reflash: Mapping[str, Any]


def drop_follow_ups(session: Session, heard: Sequence[tuple[int, int, FollowUpDraft]]) -> None:
    """Take out one follow-up of a history for each (concern, import, what was heard).

    Another row may have told the very same: the import's own goes, else the newest. A failure of a known day
    and one of a day that nobody knows are not the same.
    """
    on_file: dict[Any, list[tuple[int, int]]] = defaultdict(list)
    for some in runs(sorted({concern_id for concern_id, _, _ in heard})):
        rows = session.execute(
            select(
                col(FollowUpRow.concern_id),
                col(FollowUpRow.result),
                col(FollowUpRow.seen_on),
                col(FollowUpRow.remark),
                col(FollowUpRow.cost_minor),
                col(FollowUpRow.day_known),
                col(FollowUpRow.import_id),
                col(FollowUpRow.id),
            ).where(col(FollowUpRow.concern_id).in_(some), col(FollowUpRow.import_id).is_not(None))
        )
        for *same, import_id, row_id in rows:
            on_file[tuple(same)].append((import_id or 0, row_id or 0))
    gone: list[int] = []
    for concern_id, import_id, one in heard:
        said = (one.result.value, one.seen_on, one.remark, one.cost_minor, one.day_known)
        alike = on_file[(concern_id, *said)]
        if alike:
            found = max(alike, key=lambda row: (row[0] == import_id, row))
            alike.remove(found)
            gone.append(found[1])
    delete_where(session, FollowUpRow, "id", gone)


def contents_of(
    session: Session, noun: str, concern_ids: Iterable[int], without: Iterable[int]
) -> dict[int, list[dict[str, Any]]]:
    """By concern what its history rows say, each as last taken; `without`: ids of ImportedRow left out."""
    passed, newest = set(without), {}
    for some in runs(sorted(set(concern_ids))):
        rows = session.execute(
            select(
                col(ImportedRow.id),
                col(ImportedRow.noun_id),
                col(ImportedRow.identity_hash),
                col(ImportedRow.content),
            )
            .where(col(ImportedRow.noun) == noun, col(ImportedRow.noun_id).in_(some))
            .order_by(col(ImportedRow.id))
        )
        for row in rows:
            if row.id not in passed:
                newest[row.noun_id, row.identity_hash] = row.content
    found: dict[int, list[dict[str, Any]]] = defaultdict(list)
    for (concern_id, _), content in newest.items():
        found[concern_id].append(content or {})
    return found


def keep_candidates(session: Session, concern_ids: Iterable[int], keep: set[tuple[int, int]]) -> None:
    """Of the candidates that only a history named, these (concern, note) stay."""
    for some in runs(sorted(set(concern_ids))):
        of_history = (
            select(ConcernCandidate)
            .join(ConcernRow, col(ConcernRow.id) == col(ConcernCandidate.concern_id))
            .where(
                col(ConcernRow.id).in_(some),
                or_(col(ConcernRow.import_id).is_not(None), col(ConcernCandidate.grade) == ""),
            )
        )
        for row in session.execute(of_history).scalars():
            if (row.concern_id, row.note_id) not in keep:
                session.delete(row)
    session.flush()


def untouched_concerns(session: Session, concern_ids: Iterable[int]) -> list[ConcernRow]:
    """Of these concerns the ones that a history made and nobody edited."""
    found: list[ConcernRow] = []
    for some in runs(sorted(set(concern_ids))):
        query = select(ConcernRow).where(
            col(ConcernRow.id).in_(some), col(ConcernRow.import_id).is_not(None), col(ConcernRow.version) == 1
        )
        found.extend(session.execute(query).scalars())
    return found


def put_outcomes(session: Session, told: Sequence[ToldAnew]) -> None:
    """Set the facts of outcomes that a history brought, and the columns of their reflashes."""
    on_file: dict[Any, list[tuple[Outcome, Reflash]]] = defaultdict(list)
    for some in runs(sorted({one.concern_id for one in told})):
        rows = session.execute(
            select(Outcome, Reflash)
            .join(Reflash, col(Reflash.id) == col(Outcome.reflash_id))
            .where(col(Outcome.concern_id).in_(some), col(Outcome.import_id).is_not(None))
        )
        for outcome, reflash in rows:
            on_file[outcome.concern_id, outcome.update_id, outcome.reflashed_on].append((outcome, reflash))
    for one in told:
        for outcome, reflash in on_file[one.concern_id, one.update_id, one.reflashed_on]:
            for name, value in one.facts.items():
                setattr(outcome, name, value)
            for name, value in one.reflash.items():
                setattr(reflash, name, value)
    session.flush()
