"""Prices that others ask for programming."""

from __future__ import annotations

from sqlmodel import Session, col

from kb.records.store.rows import rows_where
from kb.records.tables import WayPriceRow


def way_prices(session: Session, shop_id: int) -> list[WayPriceRow]:
    """Those that stand, by make, module and way."""
    table = WayPriceRow
    standing = (col(table.shop_id) == shop_id, col(table.retired_on).is_(None))
    by = (col(table.make_folded), col(table.module_folded), col(table.way), col(table.id))
    return rows_where(session, table, *standing, by=by)
