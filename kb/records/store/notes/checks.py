"""Diagnostic checks, and to which notes a lead attached them."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import date

from sqlalchemy import delete, func, select
from sqlmodel import Session, col

from kb.nouns.copying import columns_of
from kb.nouns.starting_checks import STARTING_CHECKS, StartingCheck
from kb.records.store.rows import rows_where, save
from kb.records.tables import CheckAttachment, CheckRow, FindingRow

_GUESS_WEIGHT = 4.0  # a stated guess is worth four vehicles


def seed(session: Session, shop_id: int) -> None:
    """Give a shop without any check the ones that every shop starts with."""
    if session.execute(
        select(func.count()).select_from(CheckRow).where(col(CheckRow.shop_id) == shop_id)
    ).scalar_one():
        return
    session.add_all(
        _starting_row(shop_id, position, check) for position, check in enumerate(STARTING_CHECKS, start=1)
    )
    session.flush()


def checks(session: Session, shop_id: int, *, retired_too: bool = False) -> list[CheckRow]:
    wanted = [col(CheckRow.shop_id) == shop_id]
    if not retired_too:
        wanted.append(col(CheckRow.retired_on).is_(None))
    return rows_where(session, CheckRow, *wanted, by=(col(CheckRow.position), col(CheckRow.id)))


def check_with_key(session: Session, shop_id: int, key: str) -> CheckRow | None:
    return session.execute(
        select(CheckRow).where(col(CheckRow.shop_id) == shop_id, col(CheckRow.key) == key)
    ).scalar_one_or_none()


def add(session: Session, row: CheckRow) -> CheckRow:
    """A new check comes last."""
    last = select(func.max(col(CheckRow.position))).where(col(CheckRow.shop_id) == row.shop_id)
    row.position = 1 + (session.execute(last).scalar_one() or 0)
    return save(session, row)


def retire(session: Session, row: CheckRow, on: date) -> None:
    row.retired_on, row.version = on, row.version + 1
    save(session, row)


def has_values(session: Session, check_id: int) -> bool:
    """Whether a number was ever measured with it."""
    measured = col(FindingRow.check_id) == check_id, col(FindingRow.number).is_not(None)
    return session.execute(select(col(FindingRow.id)).where(*measured).limit(1)).first() is not None


def attachments(session: Session, shop_id: int) -> dict[int, list[int]]:
    """Check id to the ids of the notes that it is attached to."""
    rows = session.execute(
        select(col(CheckAttachment.check_id), col(CheckAttachment.note_id))
        .join(CheckRow, col(CheckRow.id) == col(CheckAttachment.check_id))
        .where(col(CheckRow.shop_id) == shop_id)
        .order_by(col(CheckAttachment.note_id))
    )
    found: dict[int, list[int]] = {}
    for row in rows:
        found.setdefault(row.check_id, []).append(row.note_id)
    return found


def attach(session: Session, check_id: int, note_ids: Sequence[int]) -> None:
    """These notes and no others."""
    session.execute(delete(CheckAttachment).where(col(CheckAttachment.check_id) == check_id))
    session.add_all(CheckAttachment(check_id=check_id, note_id=note_id) for note_id in sorted(set(note_ids)))
    session.flush()


def ids_of(session: Session, shop_id: int, keys: Collection[str]) -> dict[str, int]:
    """The ids of the checks with these keys, retired ones included."""
    rows = session.execute(
        select(col(CheckRow.key), col(CheckRow.id)).where(
            col(CheckRow.shop_id) == shop_id, col(CheckRow.key).in_(keys)
        )
    )
    return {key: check_id for key, check_id in rows if check_id is not None}


def attach_note(session: Session, check_id: int, note_id: int) -> None:
    """One note more, if it is not attached already."""
    if session.get(CheckAttachment, (check_id, note_id)) is None:
        session.add(CheckAttachment(check_id=check_id, note_id=note_id))
        session.flush()


def detach_note(session: Session, check_id: int, note_id: int) -> None:
    session.execute(
        delete(CheckAttachment).where(
            col(CheckAttachment.check_id) == check_id, col(CheckAttachment.note_id) == note_id
        )
    )


def retire_idle(session: Session, ids: Collection[int], system: str, on: date) -> None:
    """Retire those of the checks of this system that no note has any more."""
    attached = select(col(CheckAttachment.check_id))
    idle = select(CheckRow).where(
        col(CheckRow.id).in_(ids), col(CheckRow.system) == system, col(CheckRow.id).not_in(attached)
    )
    for row in session.execute(idle.where(col(CheckRow.retired_on).is_(None))).scalars():
        retire(session, row, on)


def offer_again(session: Session, ids: Collection[int], system: str) -> None:
    """Offer those of the checks of this system again that were retired."""
    retired = select(CheckRow).where(
        col(CheckRow.id).in_(ids), col(CheckRow.system) == system, col(CheckRow.retired_on).is_not(None)
    )
    for row in session.execute(retired).scalars():
        row.retired_on, row.version = None, row.version + 1
    session.flush()


def delete_unused(session: Session, ids: Collection[int], system: str) -> None:
    """Take checks of this system away that no note has and that nothing was ever found with."""
    found = select(col(FindingRow.check_id))
    attached = select(col(CheckAttachment.check_id))
    session.execute(
        delete(CheckRow).where(
            col(CheckRow.id).in_(ids),
            col(CheckRow.system) == system,
            col(CheckRow.id).not_in(found),
            col(CheckRow.id).not_in(attached),
        )
    )


def _starting_row(shop_id: int, position: int, check: StartingCheck) -> CheckRow:
    same = columns_of(check)
    differs = {
        "needs": ", ".join(check.needs),
        "told_with": same.pop("group"),
        "source_line": f"guess, {same.pop('source')}",
        "measure": check.measure.plain() if check.measure else {},
    }
    return CheckRow(
        shop_id=shop_id, weight=_GUESS_WEIGHT, author="starting set", position=position, **(same | differs)
    )
