"""Proposals to the lead: found, written, and read back as values."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import asdict
from typing import Any

from sqlalchemy import ColumnElement, func, or_, select
from sqlmodel import Session, col

from kb.nouns.bay.proposals import Proposal, ProposalDraft, ProposalKind, ProposalState, ProposedCheck
from kb.nouns.copying import copied
from kb.records.store.notes.note_content import from_content, to_content
from kb.records.store.rows import rows_where
from kb.records.tables import Proposal as Row


def find(
    session: Session,
    shop_id: int,
    *,
    states: Collection[ProposalState] = (),
    made_by: str = "",
    concern_id: int | None = None,
    note_id: int | None = None,
) -> list[Proposal]:
    """Those that fit, the newest first; what is left out asks nothing."""
    fits: list[ColumnElement[bool]] = [col(Row.shop_id) == shop_id]
    if states:
        fits.append(col(Row.state).in_([one.value for one in states]))
    if made_by:
        fits.append(col(Row.made_by) == made_by)
    if concern_id is not None:
        fits.append(col(Row.concern_id) == concern_id)
    if note_id is not None:
        fits.append(or_(col(Row.note_id) == note_id, col(Row.made_note_id) == note_id))
    return [told(row) for row in rows_where(session, Row, *fits, by=(col(Row.id).desc(),))]


def count(session: Session, shop_id: int, state: ProposalState) -> int:
    wanted = select(func.count()).where(col(Row.shop_id) == shop_id, col(Row.state) == state.value)
    return int(session.execute(wanted).scalar_one())


def columns_of(draft: ProposalDraft) -> dict[str, Any]:
    """A draft by column."""
    content: dict[str, Any] = {"says": draft.says.strip(), "why": draft.why.strip()}
    if draft.lesson is not None:
        content["lesson"] = to_content(draft.lesson)
    if draft.check is not None:
        content["check"] = asdict(draft.check)
    ids = {"concern_id": draft.concern_id, "note_id": draft.note_id}
    return {"kind": draft.kind.value, "content": content, **ids}


def told(row: Row) -> Proposal:
    """The row as a value."""
    return copied(
        Proposal, row, id=row.id or 0, state=ProposalState(row.state), content=_draft(row, row.content)
    )


def _draft(row: Row, content: Mapping[str, Any]) -> ProposalDraft:
    lesson, check = content.get("lesson"), content.get("check")
    return ProposalDraft(
        ProposalKind(row.kind),
        row.concern_id,
        row.note_id,
        from_content(lesson) if lesson else None,
        ProposedCheck(**check) if check else None,
        content["says"],
        content["why"],
    )
