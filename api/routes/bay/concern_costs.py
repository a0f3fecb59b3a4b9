"""Costs of one concern that are not as the shop's settings say."""

from __future__ import annotations

from typing import Annotated

from fastapi import Query

from api.deps import Id, SignedInCall
from api.description.refusals import CONFLICT
from api.routing import Router
from api.schemas.base import Word
from api.schemas.concern_costs import ConcernCostBody, ConcernCostOut, cost_out
from kb.desk.bay.concern import concern_costs

router = Router(prefix="/concerns/{concern_id}/costs", tags=["advice"])


@router.get("")
def list_concern_costs(concern_id: Id, call: SignedInCall) -> list[ConcernCostOut]:
    """Every cost that may differ on one concern, with the shop's value beside its own."""
    with call.reading() as desk:
        currency = desk.shop.currency
        return [cost_out(one, currency) for one in concern_costs.list_concern_costs(desk, concern_id)]


@router.put("/{key}", responses=CONFLICT)
def override_cost(concern_id: Id, key: Word, body: ConcernCostBody, call: SignedInCall) -> ConcernCostOut:
    """Let this concern cost something else, with a reason; the advice uses it from now on."""
    with call.writing() as desk:
        said = concern_costs.override_cost(
            desk, concern_id, concern_costs.full_key(key), body.value, body.why, version=body.version
        )
        return cost_out(said, desk.shop.currency)


@router.delete("/{key}", responses=CONFLICT)
def restore_cost(
    concern_id: Id, key: Word, call: SignedInCall, version: Annotated[int | None, Query()] = None
) -> ConcernCostOut:
    """Back to the shop's setting."""
    with call.writing() as desk:
        said = concern_costs.restore_cost(desk, concern_id, concern_costs.full_key(key), version=version)
        return cost_out(said, desk.shop.currency)
