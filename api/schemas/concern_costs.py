"""Bodies about the costs of one concern that differ from the shop's settings. Money is in whole units."""

from __future__ import annotations

from datetime import date

from api.schemas.base import In, Out, Text
from api.schemas.money import MINOR
from kb.desk.bay.concern.concern_costs import ConcernCost
from kb.desk.setting_definitions import Kind
from kb.nouns.currency import to_major


class ConcernCostOut(Out):
    """One cost: the shop's value, and this concern's own with its reason, or null."""

    key: str
    label: str
    unit: str
    shop_value: float
    own_value: float | None
    why: str
    by: str
    on: date | None
    version: int


class ConcernCostBody(In):
    """`why` says why this concern differs. With `version`, a stale one is refused (409)."""

    value: float
    why: Text
    version: int | None = None


def cost_out(view: ConcernCost, currency: str) -> ConcernCostOut:
    what = view.definition

    def shown(value: float | None) -> float | None:
        return to_major(int(value), currency) if what.kind is Kind.MONEY and value is not None else value

    return ConcernCostOut.of(
        view,
        key=what.key.replace(MINOR, ""),
        label=what.label,
        unit=what.unit,
        shop_value=shown(view.shop_value),
        own_value=shown(view.own_value),
    )
