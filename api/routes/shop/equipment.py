"""What the shop programs with: equipment, and requirements of makes."""

from __future__ import annotations

from api.deps import Id, SignedInCall
from api.description.refusals import CONFLICT
from api.routing import Router
from api.schemas.base import Word
from api.schemas.shop import (
    EquipmentBody,
    EquipmentChange,
    RequirementBody,
    RequirementOut,
)
from kb.desk.shop import equipment, requirements
from kb.desk.shop.equipment import EquipmentDraft, EquipmentView
from kb.desk.shop.requirements import RequirementDraft

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
