"""What the shop programs with: equipment, and requirements of makes."""

from __future__ import annotations

from api.deps import Id, SignedInCall
from api.description.refusals import CONFLICT
from api.routing import Router
from api.schemas.base import Word
from api.schemas.shop import (
    EquipmentBody,
    EquipmentChange,
    EquipmentCostBody,
    EquipmentCostOut,
    EquipmentVersionBody,
    RequirementBody,
    RequirementOut,
    UpkeepOut,
    cost_out,
    upkeep_out,
)
from kb.desk.shop import equipment, requirements, upkeep
from kb.desk.shop.equipment import EquipmentDraft, EquipmentView
from kb.desk.shop.requirements import RequirementDraft
from kb.desk.shop.upkeep import EquipmentCost, VersionDraft, VersionView

router = Router(tags=["equipment"])


@router.get("/equipment")
def list_equipment(call: SignedInCall, retired_too: bool = False) -> tuple[EquipmentView, ...]:
    """Devices, computers and support units."""
    with call.reading() as desk:
        return equipment.list_equipment(desk, retired_too=retired_too)


@router.post("/equipment", status_code=201)
def add_equipment(body: EquipmentBody, call: SignedInCall) -> EquipmentView:
    """For the lead and the owner."""
    with call.writing() as desk:
        return equipment.add_equipment(desk, body.as_value(EquipmentDraft))


@router.put("/equipment/{equipment_id}", responses=CONFLICT)
def change_equipment(equipment_id: Id, body: EquipmentChange, call: SignedInCall) -> EquipmentView:
    """Correct one, whole."""
    with call.writing() as desk:
        draft = body.as_value(EquipmentDraft)
        return equipment.change_equipment(desk, equipment_id, body.version, draft)


@router.post("/equipment/{equipment_id}/retire")
def retire_equipment(equipment_id: Id, call: SignedInCall) -> EquipmentView:
    """Take it out of use; events that name it keep it."""
    with call.writing() as desk:
        return equipment.retire_equipment(desk, equipment_id)


@router.get("/equipment/upkeep")
def list_upkeep(call: SignedInCall, retired_too: bool = False) -> list[UpkeepOut]:
    """What each piece costs a year and what ran on it; for the lead and the owner."""
    with call.reading() as desk:
        found = upkeep.list_upkeep(desk, retired_too=retired_too)
        return [upkeep_out(one, desk.shop.currency) for one in found]


@router.put("/equipment/{equipment_id}/cost")
def put_cost(equipment_id: Id, body: EquipmentCostBody, call: SignedInCall) -> EquipmentCostOut:
    """Enter price and years, or take both back; for the lead and the owner."""
    with call.writing() as desk:
        cost = upkeep.put_cost(desk, equipment_id, body.as_value(EquipmentCost, desk.shop.currency))
        return cost_out(cost, desk.shop.currency)


@router.post("/equipment/{equipment_id}/versions", status_code=201)
def add_version(equipment_id: Id, body: EquipmentVersionBody, call: SignedInCall) -> VersionView:
    """What runs on it since a day; a second entry for a day corrects the first."""
    with call.writing() as desk:
        return upkeep.add_version(desk, equipment_id, body.as_value(VersionDraft))


@router.get("/requirements")
def list_requirements(call: SignedInCall, make: Word = "") -> list[RequirementOut]:
    """What makes ask for before programming."""
    with call.reading() as desk:
        found = requirements.list_requirements(desk, make or None)
    return [RequirementOut.model_validate(one) for one in found]


@router.post("/requirements", status_code=201)
def add_requirement(body: RequirementBody, call: SignedInCall) -> RequirementOut:
    """For the lead and the owner. Windows in the text are read; see `reads`."""
    with call.writing() as desk:
        return RequirementOut.model_validate(
            requirements.add_requirement(desk, body.as_value(RequirementDraft))
        )


@router.post("/requirements/{requirement_id}/retire")
def retire_requirement(requirement_id: Id, call: SignedInCall) -> RequirementOut:
    """Let it no longer be asked for."""
    with call.writing() as desk:
        return RequirementOut.model_validate(requirements.retire_requirement(desk, requirement_id))
