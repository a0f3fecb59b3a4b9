"""What the shop is, as every request asks for it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from kb.records.tables import Shop


@dataclass(frozen=True, slots=True)
class ShopFacts:
    """The shop's own row, as values."""

    id: int
    name: str
    timezone: str
    currency: str
    is_demo: bool

    @property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.timezone)

    def day_of(self, moment: datetime) -> date:
        """The shop's local day at a moment."""
        return moment.astimezone(self.zone).date()


def facts_of(row: Shop | None) -> ShopFacts:
    assert row is not None, "an open database has a shop"  # noqa: S101  # narrows the type
    return ShopFacts(row.id or 0, row.name, row.timezone, row.currency, row.is_demo)
