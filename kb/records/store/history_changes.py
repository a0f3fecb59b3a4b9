"""Changing what a history brought: one concern's outcome, reflash and follow-ups."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from sqlalchemy import delete, select
from sqlmodel import Session, col

from kb.records.tables import FollowUpRow, Outcome, Reflash


def drop_follow_ups(session: Session, concern_id: int, heard: Iterable[tuple[str, date]]) -> None:
    """Take out the follow-ups that a history brought with this (result, day)."""
    for result, day in heard:
        session.execute(
            delete(FollowUpRow).where(
                col(FollowUpRow.concern_id) == concern_id,
                col(FollowUpRow.import_id).is_not(None),
                col(FollowUpRow.result) == result,
                col(FollowUpRow.seen_on) == day,
            )
        )


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
