"""A calibration that the manufacturer offers and no note here installs: nobody here knows what it cures."""

from __future__ import annotations

from dataclasses import dataclass

from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.concern import case as case_desk
from kb.desk.bay.concern import concerns as concerns_desk
from kb.desk.bay.concern.vehicles import vehicle_of
from kb.desk.context import Desk, anyone_in_the_shop, lead_or_owner
from kb.nouns.notes import NoteDraft, NoteKind
from kb.nouns.vehicles import CalibrationStep, CoverageLine, LookUp
from kb.records.store.bay import case as store
from kb.records.store.bay.concerns import ConcernOnFile
from kb.vehicle.lineage import fold_id, last_look_up


@dataclass(frozen=True, slots=True)
class NewerUnknown:
    """The module, the ID in it as last read (empty: not read) and the newer one that was looked up."""

    module: str
    calibration_id: str
    newest_id: str

    @property
    def sentence(self) -> str:
        return (
            f"{self.module}: {self.newest_id} is newer, and no note here installs it. Nobody here knows what "
            "it cures: read its release note."
        )


def newer_unknown(desk: Desk, held: ConcernOnFile) -> tuple[NewerUnknown, ...]:
    """By module, what the last look-up by VIN named beyond what is read and on file."""
    readings = case_desk.last_readings(store.calibrations(desk.session, held.concern.id or 0))
    look_ups = case_desk.look_ups_of(store.look_ups(desk.session, held.repair_order.vehicle_id))
    found = []
    for module in dict.fromkeys(fold_id(one.module) for one in look_ups):
        one = last_look_up(look_ups, desk.today, module)
        if one is None:
            continue
        read = readings[module].calibration_id if module in readings else ""
        known = not fold_id(one.newest_id) or fold_id(one.newest_id) == fold_id(read)
        if not known and not _is_installed_by_a_note(desk, held, one):
            found.append(NewerUnknown(one.module, read, one.newest_id))
    return tuple(found)


@anyone_in_the_shop
def of_concern(desk: Desk, concern_id: int) -> tuple[NewerUnknown, ...]:
    """As `newer_unknown`. Raises NotFound."""
    return newer_unknown(desk, concerns_desk.on_file(desk, concern_id))


@lead_or_owner
def bulletin_for(desk: Desk, concern_id: int, module: str) -> NoteDraft:
    """A bulletin begun with what the look-up of this concern says. Raises NotFound."""
    held = concerns_desk.on_file(desk, concern_id)
    vehicle = vehicle_of(held.vehicle)
    years = ((vehicle.year, vehicle.year),) if vehicle.year else ()
    found = (one for one in newer_unknown(desk, held) if fold_id(one.module) == fold_id(module))
    return NoteDraft(
        NoteKind.BULLETIN,
        "",
        coverage=(CoverageLine(vehicle.make, vehicle.model, years),) if vehicle.make else (),
        steps=tuple(
            CalibrationStep(one.module, tuple(filter(None, [one.calibration_id])), one.newest_id)
            for one in found
        ),
    )


def _is_installed_by_a_note(desk: Desk, held: ConcernOnFile, look_up: LookUp) -> bool:
    make = vehicle_of(held.vehicle).make
    return any(
        (fold_id(step.module), fold_id(step.new_id)) == (fold_id(look_up.module), fold_id(look_up.newest_id))
        for update in updates_desk.on_file(desk).by_id.values()
        if updates_desk.is_of_make(update, make)
        for step in update.steps
    )
