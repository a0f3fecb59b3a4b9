"""Equipment, and what manufacturers ask for."""

from __future__ import annotations

from datetime import date

from fastapi import APIRouter
from starlette.responses import Response

from api.typed.days import day_written
from kb.desk.bay.concern import odd_entries
from kb.desk.shop import equipment, requirements
from kb.desk.shop.equipment import EquipmentDraft, EquipmentKind
from kb.desk.shop.requirements import RequirementDraft
from kb.errors import BadInput, KbError
from web.forms import TypedForm
from web.shown_again import shown_again
from web.visits import Somebody, Visit

router = APIRouter(prefix="/shop")


def _requirements_page(visit: Visit, refused: KbError | None = None) -> Response:
    with visit.reading() as desk:
        found = requirements.list_requirements(desk)
    return visit.page("shop/requirements.html", place="/shop", refused=refused, requirements=found)


def _equipment_page(visit: Visit, refused: KbError | None = None) -> Response:
    with visit.reading() as desk:
        found = equipment.list_equipment(desk)
    return visit.page("shop/equipment.html", place="/shop", refused=refused, equipment=found)


@router.get("/equipment")
def show_equipment(visit: Somebody) -> Response:
    return _equipment_page(visit)


@router.post("/equipment")
@shown_again(_equipment_page)
def save_equipment(visit: Somebody) -> Response:
    """A new piece, or (with `id` and `version`) a changed one."""
    typed = visit.typed
    known = typed.whole("id")
    draft = _equipment(typed)
    with visit.writing() as desk:
        slipped = (
            *odd_entries.unknown_makes(desk, draft.validated),
            *odd_entries.same_name(desk, draft.name, known),
        )
        if known is None:
            equipment.add_equipment(desk, draft)
        else:
            version = typed.must_whole("version", "version")
            equipment.change_equipment(desk, known, version, draft)
    return visit.go("/shop/equipment", said=" ".join((f"{draft.name}: saved.", *slipped)))


@router.post("/equipment/{equipment_id}/retire")
def retire_equipment(visit: Somebody, equipment_id: int) -> Response:
    with visit.writing() as desk:
        gone = equipment.retire_equipment(desk, equipment_id)
    return visit.go("/shop/equipment", said=f"{gone.content.name}: no longer in use.")


@router.get("/requirements")
def show_requirements(visit: Somebody) -> Response:
    return _requirements_page(visit)


@router.post("/requirements")
@shown_again(_requirements_page)
def add_requirement(visit: Somebody) -> Response:
    names = ("make", "place", "text", "module", "unit", "source_line", "operating_system")
    draft = RequirementDraft(**visit.typed.texts(*names))
    with visit.writing() as desk:
        slipped = odd_entries.unknown_makes(desk, (draft.make,))
        requirements.add_requirement(desk, draft)
    return visit.go("/shop/requirements", said=" ".join(("Saved; prep lists show it from now on.", *slipped)))


@router.post("/requirements/{requirement_id}/retire")
def retire_requirement(visit: Somebody, requirement_id: int) -> Response:
    with visit.writing() as desk:
        requirements.retire_requirement(desk, requirement_id)
    return visit.go("/shop/requirements", said="No longer asked for.")


def _equipment(typed: TypedForm) -> EquipmentDraft:
    """`validated` is one make a line with the day it was looked up: "Tarn 2026-10-12"."""
    validated: dict[str, date] = {}
    for line in typed.lines("validated"):
        make, _, day = line.rpartition(" ")
        try:
            validated[make.strip(" :,")] = day_written(day, "validated")
        except ValueError:
            raise BadInput(
                f"“{line}” should read like “Tarn 2026-10-12”: the make, and the day it was looked up.",
                fields={"validated": "like Tarn 2026-10-12"},
            ) from None
    kind = EquipmentKind(typed.text("kind")) if typed.text("kind") in set(EquipmentKind) else None
    if kind is None:
        raise BadInput("Say what it is.", fields={"kind": "choose one"})
    return EquipmentDraft(kind, typed.text("name"), typed.text("details"), validated)
