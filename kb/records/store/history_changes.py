"""Changing what a history brought: one concern's outcome, reflash and follow-ups."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from sqlalchemy import select
from sqlmodel import Session, col

from kb.nouns.concerns import FollowUpDraft
from kb.records.store.bulk import runs
from kb.records.tables import ConcernCandidate, ConcernRow, FollowUpRow, ImportedRow, Outcome, Reflash


def drop_follow_ups(session: Session, concern_id: int, heard: Iterable[FollowUpDraft]) -> None:
    """Take out one follow-up of a history for each of these; another row may have told the very same."""
    for one in heard:
        same = select(FollowUpRow).where(
            col(FollowUpRow.concern_id) == concern_id,
            col(FollowUpRow.import_id).is_not(None),
            col(FollowUpRow.result) == one.result.value,
            col(FollowUpRow.seen_on) == one.seen_on,
            col(FollowUpRow.remark) == one.remark,
            col(FollowUpRow.cost_minor) == one.cost_minor
            if one.cost_minor is not None
            else col(FollowUpRow.cost_minor).is_(None),
        )
        found = session.execute(same.order_by(col(FollowUpRow.import_id).desc())).scalars().first()
        if found is not None:
            session.delete(found)
            session.flush()


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
        ungraded = select(ConcernCandidate).where(
            col(ConcernCandidate.concern_id).in_(some), col(ConcernCandidate.grade) == ""
        )
        for row in session.execute(ungraded).scalars():
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


def put_outcome(
    session: Session,
    concern_id: int,
    update_id: int | None,
    reflashed_on: date,
    facts: Mapping[str, Any],
    calibrations: Mapping[str, Any],
) -> None:
    """Set the facts of the outcome that a history brought, and the calibrations of its reflash."""
    same = col(Outcome.update_id).is_(None) if update_id is None else col(Outcome.update_id) == update_id
    rows = session.execute(
        select(Outcome, Reflash)
        .join(Reflash, col(Reflash.id) == col(Outcome.reflash_id))
        .where(
            col(Outcome.concern_id) == concern_id,
            col(Outcome.import_id).is_not(None),
            col(Outcome.reflashed_on) == reflashed_on,
            same,
        )
    )
    for outcome, reflash in rows:
        for name, value in facts.items():
            setattr(outcome, name, value)
        for name, value in calibrations.items():
            setattr(reflash, name, value)
    session.flush()
