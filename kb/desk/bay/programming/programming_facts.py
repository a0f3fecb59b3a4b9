"""What a programming event tells of the vehicle: the calibration now in a module, and look-ups by VIN."""

from __future__ import annotations

from kb.desk.bay.concern import readings
from kb.desk.context import Desk
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.bay.readings import Readout
from kb.nouns.concerns import INSTALLED, ModuleResult, ProgrammingEventDraft, ReflashResult
from kb.nouns.read_values import values_of
from kb.nouns.vehicles import CalibrationReading, Moment
from kb.records.store.bay import case as store
from kb.records.tables import LookUpRow


def keep_what_was_learned(
    desk: Desk, event_id: int, draft: ProgrammingEventDraft, module: ModuleResult, file: ConcernFile
) -> None:
    """The calibration now in the module as read after, and a manufacturer's "nothing newer" as a look-up."""
    name = module.module.strip().upper()
    if module.result in INSTALLED and module.calibration_after.strip():
        after = CalibrationReading(
            name,
            module.calibration_after,
            module.calibration_source,
            module.calibration_confirmed,
            module.cvn_after,
        )
        readings.keep(desk, file.id, [Readout(values_of(after), desk.now, Moment.AFTER, event_id)])
    if module.result is ReflashResult.NOTHING_NEWER:
        looked_up = {
            "concern_id": file.id,
            "vehicle_id": file.vehicle_id,
            "module": name,
            "looked_up_on": draft.performed_on,
            "by": desk.actor.name,
            "newest_id": "",
            "nothing_newer": True,
        }
        store.insert_rows(desk.session, LookUpRow, [looked_up])
