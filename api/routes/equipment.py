"""What the shop programs with: equipment, requirements of makes, subscriptions."""

from __future__ import annotations

from fastapi import APIRouter

from api.deps import Id, SignedInCall
from api.schemas.base import Word
from api.schemas.money import in_whole_units
from api.schemas.shop import (
    EquipmentBody,
    EquipmentChange,
    EquipmentOut,
    PlanOfferBody,
    PlanOfferOut,
    RequirementBody,
    RequirementOut,
    SubscriptionBody,
    SubscriptionOut,
)
from kb.desk import equipment, plan_offers

router = APIRouter(tags=["equipment"])


@router.get("/equipment")
def list_equipment(call: SignedInCall, retired_too: bool = False) -> list[EquipmentOut]:
    with call.reading() as desk:
        found = equipment.list_equipment(desk, retired_too=retired_too)
    return [EquipmentOut.model_validate(one) for one in found]


@router.post("/equipment", status_code=201)
def add_equipment(body: EquipmentBody, call: SignedInCall) -> EquipmentOut:
    with call.writing() as desk:
        return EquipmentOut.model_validate(equipment.add_equipment(desk, body.draft()))


@router.put("/equipment/{equipment_id}")
def change_equipment(equipment_id: Id, body: EquipmentChange, call: SignedInCall) -> EquipmentOut:
    with call.writing() as desk:
        changed = equipment.change_equipment(desk, equipment_id, body.version, body.draft())
    return EquipmentOut.model_validate(changed)


@router.post("/equipment/{equipment_id}/retire")
def retire_equipment(equipment_id: Id, call: SignedInCall) -> EquipmentOut:
    with call.writing() as desk:
        return EquipmentOut.model_validate(equipment.retire_equipment(desk, equipment_id))


@router.get("/requirements")
def list_requirements(call: SignedInCall, make: Word = "") -> list[RequirementOut]:
    with call.reading() as desk:
        found = equipment.list_requirements(desk, make or None)
    return [RequirementOut.model_validate(one) for one in found]


@router.post("/requirements", status_code=201)
def add_requirement(body: RequirementBody, call: SignedInCall) -> RequirementOut:
    with call.writing() as desk:
        return RequirementOut.model_validate(equipment.add_requirement(desk, body.draft()))


@router.post("/requirements/{requirement_id}/retire")
def retire_requirement(requirement_id: Id, call: SignedInCall) -> RequirementOut:
    with call.writing() as desk:
        return RequirementOut.model_validate(equipment.retire_requirement(desk, requirement_id))


@router.get("/subscriptions")
def list_subscriptions(call: SignedInCall) -> list[SubscriptionOut]:
    with call.reading() as desk:
        found = equipment.list_subscriptions(desk)
        return [SubscriptionOut.model_validate(in_whole_units(one, desk.shop.currency)) for one in found]


@router.get("/subscription-plans")
def list_plan_offers(call: SignedInCall) -> list[PlanOfferOut]:
    """Programming plans that manufacturers sell, as looked up."""
    with call.reading() as desk:
        found = plan_offers.list_plan_offers(desk)
        return [PlanOfferOut.model_validate(in_whole_units(one, desk.shop.currency)) for one in found]


@router.post("/subscription-plans", status_code=201)
def add_plan_offer(body: PlanOfferBody, call: SignedInCall) -> PlanOfferOut:
    """A plan of the same make and length is replaced."""
    with call.writing() as desk:
        made = plan_offers.add_plan_offer(desk, body.draft(desk.shop.currency))
        return PlanOfferOut.model_validate(in_whole_units(made, desk.shop.currency))


@router.post("/subscription-plans/{offer_id}/retire")
def retire_plan_offer(offer_id: Id, call: SignedInCall) -> PlanOfferOut:
    with call.writing() as desk:
        gone = plan_offers.retire_plan_offer(desk, offer_id)
        return PlanOfferOut.model_validate(in_whole_units(gone, desk.shop.currency))


@router.post("/subscriptions", status_code=201)
def add_subscription(body: SubscriptionBody, call: SignedInCall) -> SubscriptionOut:
    with call.writing() as desk:
        currency = desk.shop.currency
        made = equipment.add_subscription(desk, body.draft(currency))
        return SubscriptionOut.model_validate(in_whole_units(made, currency))
