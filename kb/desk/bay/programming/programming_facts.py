"""What a programming event tells of the vehicle: the calibration now in a module, and look-ups by VIN."""

from __future__ import annotations

from sqlmodel import SQLModel

from kb.desk.context import Desk
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.concerns import INSTALLED, ModuleResult, ProgrammingEventDraft, ReflashResult
from kb.records.tables import CalibrationRow, LookUpRow


def what_was_learned(
    desk: Desk, draft: ProgrammingEventDraft, module: ModuleResult, file: ConcernFile
) -> list[SQLModel]:
    """The calibration now in the module, and a manufacturer's "nothing newer" as a look-up by VIN."""
    concern_id, name = file.id, module.module.strip().upper()
    learned: list[SQLModel] = []
    if module.result in INSTALLED and module.calibration_after.strip():
        learned.append(
            CalibrationRow(
                concern_id=concern_id,
                module=name,
                calibration_id=module.calibration_after.strip(),
                source=module.calibration_source.value,
                confirmed=module.calibration_confirmed,
                cvn=module.cvn_after.strip(),
                read_at=desk.now,
                read_by=desk.actor.name,
            )
        )
    if module.result is ReflashResult.NOTHING_NEWER:
        learned.append(
            LookUpRow(
                concern_id=concern_id,
                vehicle_id=file.vehicle_id,
                module=name,
                looked_up_on=draft.performed_on,
                by=desk.actor.name,
                nothing_newer=True,
            )
        )
    return learned
