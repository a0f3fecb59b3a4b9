"""The costs of one concern: the shop's values, and those that differ here."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.bay.concern import concern_costs
from kb.desk.bay.concern.concern_costs import ConcernCost
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.setting_definitions import Kind
from kb.errors import KbError
from kb.nouns.currency import typed_amount
from web.shown_again import shown_again
from web.visits import Somebody, Visit

router = APIRouter(prefix="/concerns/{concern_id}/costs")


def _page(visit: Visit, concern_id: int, key: str = "", refused: KbError | None = None) -> Response:
    with visit.reading() as desk:
        concern = read_concern(desk, concern_id)
        costs = concern_costs.list_concern_costs(desk, concern_id)
    return visit.page(
        "concern/costs.html",
        place="/concerns",
        concern=concern,
        rows=[(one, *_shown(one, visit.shop.facts.currency)) for one in costs],
        at_fault=key,
        refused=refused,
    )


@router.get("")
def show(visit: Somebody, concern_id: int) -> Response:
    return _page(visit, concern_id)


@router.post("/{key}")
@shown_again(_page)
def save(visit: Somebody, concern_id: int, key: str) -> Response:
    """An empty value goes back to the shop's setting."""
    typed = visit.typed
    with visit.writing() as desk:
        version = typed.whole("version")
        if typed.text("value"):
            why = typed.text("why")
            concern_costs.override_cost(desk, concern_id, key, typed.text("value"), why, version=version)
        else:
            concern_costs.restore_cost(desk, concern_id, key, version=version)
    return visit.go(f"/concerns/{concern_id}/costs", said="Saved; the advice on this concern uses it now.")


def _shown(cost: ConcernCost, currency: str) -> tuple[str, str]:
    """The shop's value and this concern's own, as a person would type them."""

    def told(value: float | None) -> str:
        if value is None:
            return ""
        if cost.definition.kind is Kind.MONEY:
            return typed_amount(int(value), currency)
        return f"{value:g}"

    return told(cost.shop_value), told(cost.own_value)
