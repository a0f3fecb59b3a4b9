"""Programming plans on offer."""

from __future__ import annotations

from sqlalchemy import select
from sqlmodel import Session, col

from kb.records.tables import PlanOffer


def offers(session: Session, shop_id: int) -> list[PlanOffer]:
    """Those that still stand, by make and length."""
    standing = select(PlanOffer).where(col(PlanOffer.shop_id) == shop_id, col(PlanOffer.retired_on).is_(None))
    return list(session.execute(standing.order_by(col(PlanOffer.make), col(PlanOffer.days))).scalars())


def offer(session: Session, shop_id: int, offer_id: int) -> PlanOffer | None:
    row = session.get(PlanOffer, offer_id)
    return row if row is not None and row.shop_id == shop_id else None


def add(session: Session, row: PlanOffer) -> PlanOffer:
    session.add(row)
    session.flush()
    return row
