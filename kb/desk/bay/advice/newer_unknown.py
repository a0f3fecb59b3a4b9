"""A calibration that nobody here knows, of a concern; and the bulletin that a lead may begin with it."""

from __future__ import annotations

from kb.advice.before_plan.newer_unknown import NewerUnknown, newer_unknown
from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.context import Desk, anyone_in_the_shop, lead_or_owner
from kb.nouns.notes import NoteDraft, NoteKind
from kb.nouns.vehicles import CalibrationStep, CoverageLine, fold_id


@anyone_in_the_shop
def of_concern(desk: Desk, concern_id: int) -> tuple[NewerUnknown, ...]:
    """By module. Raises NotFound."""
    return newer_unknown(read_concern(desk, concern_id), updates_desk.on_file(desk), desk.today)


@lead_or_owner
def bulletin_for(desk: Desk, concern_id: int, module: str) -> NoteDraft:
    """A bulletin begun with what the look-up of this concern says. Raises NotFound."""
    vehicle = read_concern(desk, concern_id).vehicle
    years = ((vehicle.year, vehicle.year),) if vehicle.year else ()
    found = (one for one in of_concern(desk, concern_id) if fold_id(one.module) == fold_id(module))
    return NoteDraft(
        NoteKind.BULLETIN,
        "",
        coverage=(CoverageLine(vehicle.make, vehicle.model, years),) if vehicle.make else (),
        steps=tuple(
            CalibrationStep(one.module, tuple(filter(None, [one.calibration_id])), one.newest_id)
            for one in found
        ),
    )
