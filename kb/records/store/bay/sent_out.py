"""What was sent out, and what of it came back."""

from __future__ import annotations

from sqlalchemy import Select, bindparam, select
from sqlmodel import Session, col

from kb.nouns.bay.concern_file import ref_of
from kb.nouns.bay.sent_out import SentOut, SentOutResult
from kb.nouns.copying import copied
from kb.nouns.shop.ways import Way
from kb.records.tables import ConcernRow, Payment, RepairOrder, SentOutRow

_WITH_INVOICE: Select[SentOutRow, int | None] = select(SentOutRow, col(Payment.amount_minor)).join(
    Payment, col(Payment.id) == col(SentOutRow.payment_id), isouter=True
)
_OF_CONCERN = _WITH_INVOICE.where(col(SentOutRow.concern_id) == bindparam("concern")).order_by(
    col(SentOutRow.id)
)


def of_concern(session: Session, concern_id: int) -> list[SentOut]:
    """Every time, oldest first."""
    return [_sent(row, paid) for row, paid in session.execute(_OF_CONCERN, {"concern": concern_id})]


def still_out(session: Session, shop_id: int) -> list[tuple[SentOut, str, str]]:
    """Those whose result nobody told, due first, with what each concern is called and its complaint."""
    named = (col(RepairOrder.number), col(ConcernRow.line), col(ConcernRow.complaint))
    query = (
        select(SentOutRow, *named)
        .join(ConcernRow, col(ConcernRow.id) == col(SentOutRow.concern_id))
        .join(RepairOrder, col(RepairOrder.id) == col(ConcernRow.repair_order_id))
        .where(col(SentOutRow.shop_id) == shop_id, col(SentOutRow.result) == SentOutResult.WAITING.value)
        .order_by(col(SentOutRow.due_on), col(SentOutRow.id))
    )
    return [
        (_sent(row, None), ref_of(number, line), complaint)
        for row, number, line, complaint in session.execute(query)
    ]


def running_row(session: Session, concern_id: int) -> SentOutRow | None:
    """The one that is out."""
    query = select(SentOutRow).where(
        col(SentOutRow.concern_id) == concern_id, col(SentOutRow.result) == SentOutResult.WAITING.value
    )
    return session.execute(query).scalars().first()


def _sent(row: SentOutRow, paid: int | None) -> SentOut:
    return copied(SentOut, row, way=Way(row.way), result=SentOutResult(row.result), invoice_minor=paid)
