"""What the columns of a shop's files were read as, kept for next month's file."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from sqlalchemy import select
from sqlmodel import Session, col

from kb.nouns.imports import REASON_COLUMN
from kb.records.store.rows import rows_where, save
from kb.records.tables import KeptColumns


@dataclass(frozen=True, slots=True)
class Kept:
    """What columns were read as, and the order of days (empty for not known). `exact`: the last file had just
    these columns; `kept_at` and `author` say when it was, and who chose.
    """

    columns: Mapping[str, str] = field(default_factory=dict)
    days: str = ""
    exact: bool = False
    author: str = ""
    kept_at: datetime | None = None


NOTHING_KEPT = Kept()


def kept_for(session: Session, shop_id: int, format_name: str, names: Iterable[str]) -> Kept:
    """What was chosen for a file with just these columns, else for the last one of the format."""
    of_format = (col(KeptColumns.shop_id) == shop_id, col(KeptColumns.format) == format_name)
    newest = select(KeptColumns).where(*of_format).order_by(col(KeptColumns.kept_at).desc())
    key = key_of(names)
    exact = session.execute(newest.where(col(KeptColumns.names) == key)).scalars().first()
    row = exact or session.execute(newest).scalars().first()
    if row is None:
        return NOTHING_KEPT
    return Kept(row.columns, row.days, exact is not None, row.author, row.kept_at)


def keep(session: Session, row: KeptColumns) -> None:
    """Keep it in place of what was chosen for the same columns before."""
    same = (
        col(KeptColumns.shop_id) == row.shop_id,
        col(KeptColumns.format) == row.format,
        col(KeptColumns.names) == row.names,
    )
    for before in rows_where(session, KeptColumns, *same):
        session.delete(before)
    session.flush()
    save(session, row)


def key_of(names: Iterable[str]) -> str:
    """A set of columns, whatever their order, case and spaces, and without that of reasons."""
    folded = {"".join(name.split()).casefold() for name in names}
    return "\x1f".join(sorted(folded - {"", "".join(REASON_COLUMN.split())}))
