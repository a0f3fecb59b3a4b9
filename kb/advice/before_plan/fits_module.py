"""Whether an update can go into the module it is for; else "no candidate here" and why."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from kb.advice.before_plan.ids_not_known import looked_up
from kb.nouns.advice import CalibrationStatus
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.recalls import RecallsOfConcern
from kb.nouns.vehicles import CalibrationReading, CalibrationStep, fold_id
from kb.vehicle.lineage import CalibrationState, Lineage, last_look_up, last_readings
from kb.vehicle.updates_on_file import UpdateOnFile

STATUS: Mapping[CalibrationState, CalibrationStatus] = {
    CalibrationState.NEWEST_ON_FILE: CalibrationStatus.NEWEST,
    CalibrationState.SUPERSEDED: CalibrationStatus.SUPERSEDED,
    CalibrationState.NOT_ON_FILE: CalibrationStatus.NOT_ON_FILE,
    CalibrationState.NOT_READ: CalibrationStatus.NOT_READ,
}


@dataclass(frozen=True, slots=True)
class Module:
    """The step that the update takes there, its reading, and where that stands; `ruled_out` says why not."""

    step: CalibrationStep
    reading: CalibrationReading | None
    state: CalibrationState
    newest: tuple[str, ...]
    looked_up_on: date | None
    ruled_out: str = ""


def step_here(update: UpdateOnFile, readings: Mapping[str, CalibrationReading]) -> CalibrationStep:
    """The step of an update that is for what was read, by module."""
    named = [one for step in update.steps for one in (*step.old_ids, step.new_id)]
    read = {module: reading.speaking_of(named).calibration_id for module, reading in readings.items()}
    return update.step_for(read)


def reading_for(
    step: CalibrationStep, readings: Mapping[str, CalibrationReading]
) -> CalibrationReading | None:
    """The reading of the step's module, by the ID that the step is for where the module holds several."""
    reading = readings.get(fold_id(step.module))
    return reading and reading.speaking_of((*step.old_ids, step.new_id))


def module_of(
    file: ConcernFile,
    update: UpdateOnFile,
    lineage: Lineage,
    recalls: RecallsOfConcern,
    today: date,
    limit_days: int,
) -> Module:
    """By the last readings of the concern and the look-ups of its vehicle."""
    readings = last_readings(file.readings)
    step = step_here(update, readings)
    telling = {module: lineage.telling(one, file.look_ups) for module, one in readings.items()}
    reading = reading_for(step, telling)
    status = lineage.status(reading, file.look_ups, today, limit_days)
    if not update.ids_known:
        told = looked_up(update, recalls, file.look_ups, today)
        on, ruled_out = told.on, told.ruled_out
    else:
        last = last_look_up(file.look_ups, today, step.module)
        on, ruled_out = last.looked_up_on if last else None, ""
    return Module(step, reading, status.state, status.newer, on, ruled_out)


def not_for_this_calibration(update: UpdateOnFile, module: Module, lineage: Lineage) -> str:
    """Why an update cannot go into this module, where its chain says so; empty where it can."""
    reading, step = module.reading, module.step
    if not update.ids_known or reading is None or module.state is not CalibrationState.SUPERSEDED:
        return ""
    if not lineage.knows(step.module, reading.calibration_id):
        return ""
    newer = {fold_id(one) for one in lineage.newer_than(step.module, reading.calibration_id)}
    if fold_id(step.new_id) in newer:
        return ""
    return (
        f"{step.module} {reading.calibration_id} is not one that {update.name} replaces "
        f"({', '.join(step.old_ids)} → {step.new_id}): it is no candidate here."
    )
