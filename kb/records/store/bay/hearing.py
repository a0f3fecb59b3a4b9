"""One follow-up at a time, and when a vehicle was last tried."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import NamedTuple

from sqlalchemy import case, select
from sqlmodel import Session, col

from kb.nouns.concerns import FollowUpDraft, FollowUpResult, HowHeard
from kb.nouns.copying import copied
from kb.records.store.imports.bulk import runs
from kb.records.store.rows import rows_where
from kb.records.tables import ConcernRow, FollowUpRow

TRIED = ("no_answer", "new_complaint")
"""What leaves the question open how the vehicle does with its first concern."""
NOT_ASKED = "seen_not_asked"


def follow_up(session: Session, shop_id: int, follow_up_id: int) -> FollowUpRow | None:
    return session.execute(
        select(FollowUpRow)
        .join(ConcernRow, col(ConcernRow.id) == col(FollowUpRow.concern_id))
        .where(col(ConcernRow.shop_id) == shop_id, col(FollowUpRow.id) == follow_up_id)
    ).scalar_one_or_none()


def as_written(row: FollowUpRow) -> FollowUpDraft:
    """What was written down, as it can be put right."""
    return copied(FollowUpDraft, row, result=FollowUpResult(row.result), heard=HowHeard(row.heard))


def remove(session: Session, row: FollowUpRow) -> None:
    session.delete(row)
    session.flush()


class LastHeard(NamedTuple):
    """The last days on which something was heard of a vehicle; None where it never was.

    `answer` and `tried` (asked in vain) come with what was said. `fine`: it was known to be OK. `in_shop`: it
    was here for something else and nobody asked. `proposed`: an imported visit whose complaint is about the
    same.
    """

    answer: tuple[date, str] | None = None
    tried: tuple[date, str] | None = None
    fine: date | None = None
    in_shop: date | None = None
    proposed: int | None = None


def last_heard(session: Session, concern_ids: Sequence[int]) -> dict[int, LastHeard]:
    """By concern; concerns of which nothing was heard are left out."""
    found: dict[int, LastHeard] = {}
    for some in runs(sorted(set(concern_ids))):
        query = (
            select(
                col(FollowUpRow.concern_id),
                col(FollowUpRow.seen_on),
                col(FollowUpRow.result),
                case((col(FollowUpRow.import_id).is_not(None), col(FollowUpRow.at_visit)), else_=None),
            )
            .where(col(FollowUpRow.concern_id).in_(some))
            .order_by(col(FollowUpRow.seen_on), col(FollowUpRow.id))
        )
        for concern_id, day, result, visit in session.execute(query):
            before = found.get(concern_id, LastHeard())
            if result == NOT_ASKED or visit is not None:
                proposed = before.proposed if result == NOT_ASKED else visit
                found[concern_id] = before._replace(in_shop=day, proposed=proposed)
                continue
            told = before._replace(fine=day) if result == "fine" else before
            said = (day, result)
            tried = result in TRIED
            found[concern_id] = told._replace(tried=said) if tried else told._replace(answer=said)
    return found


def written_by(session: Session, who: str, since: datetime) -> Sequence[FollowUpRow]:
    """What one person wrote down since a moment; nothing that an import brought."""
    table = FollowUpRow
    theirs = (col(table.recorded_at) >= since, col(table.by) == who, col(table.import_id).is_(None))
    return rows_where(session, table, *theirs, by=(col(table.id),))


def called_since(session: Session, shop_id: int, since: datetime) -> set[int]:
    """Concerns about which somebody called since a moment, with or without an answer."""
    query = (
        select(col(FollowUpRow.concern_id))
        .join(ConcernRow, col(ConcernRow.id) == col(FollowUpRow.concern_id))
        .where(
            col(FollowUpRow.recorded_at) >= since,
            col(FollowUpRow.how) == "phone",
            col(FollowUpRow.import_id).is_(None),
            col(ConcernRow.shop_id) == shop_id,
        )
    )
    return set(session.execute(query.distinct()).scalars())
