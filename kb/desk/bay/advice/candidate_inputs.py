"""The candidates of a concern as the advice takes them, with what is known of the module each is for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from kb.advice.before_plan.candidates import Offered
from kb.desk import settings as settings_desk
from kb.desk.bay.advice import candidates as candidates_desk
from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.advice.ids_not_known import looked_up
from kb.desk.bay.advice.updates import UpdateOnFile
from kb.desk.bay.advice.words_against import WordsAgainst, words_against
from kb.desk.bay.concern import case as case_desk
from kb.desk.bay.concern import concern_costs
from kb.desk.bay.concern import recalls as recalls_desk
from kb.desk.bay.concern.vehicles import vehicle_of
from kb.desk.bay.outcomes.records_of_updates import records_of
from kb.desk.bay.programming.installed import already_in, installed_here
from kb.desk.bay.search import families
from kb.desk.context import Desk
from kb.desk.shop_settings import ShopSettings
from kb.nouns.advice import CalibrationStatus, CandidateInHand, CureRecord
from kb.nouns.currency import to_major
from kb.nouns.notes import Remedy
from kb.nouns.vehicles import Applies, CalibrationReading, CalibrationStep
from kb.records.store.bay import case as store
from kb.records.store.bay.concerns import ConcernOnFile
from kb.vehicle.coverage import applies_to_recorded
from kb.vehicle.lineage import CalibrationState, Lineage, fold_id, last_look_up


@dataclass(frozen=True, slots=True)
class Module:
    """What is known of the module that an update is for."""

    step: CalibrationStep
    reading: CalibrationReading | None
    state: CalibrationState
    newest: tuple[str, ...]
    looked_up_on: date | None
    ruled_out: str = ""


@dataclass(frozen=True, slots=True)
class CandidatesInHand:
    """The candidates that are left, their updates, and why others are none.

    `said` are the texts of what speaks against one of them that the words meet; `installed` names updates
    that are in their module already, `ruled_out` those that a look-up by VIN took out.
    """

    left: tuple[CandidateInHand, ...]
    updates: tuple[UpdateOnFile, ...]
    said: frozenset[str]
    notices: tuple[str, ...]
    installed: tuple[str, ...]
    ruled_out: tuple[str, ...]


def candidates_in_hand(desk: Desk, held: ConcernOnFile) -> CandidatesInHand:
    """What is offered on the concern, without what is in its module already or cannot go into it."""
    offered, on_file = candidates_desk.on_concern(desk, held), updates_desk.on_file(desk)
    updates = [on_file.by_id[one.note_id] for one in offered]
    lineage = on_file.lineage(held.vehicle.make)
    records = records_of(desk, [update.note_id for update in updates])
    against = words_against(desk, held, updates)
    done_here = installed_here(desk, held)
    notices: list[str] = []
    installed: list[str] = []
    ruled_out: list[str] = []
    left: list[CandidateInHand] = []
    for one, update in zip(offered, updates, strict=True):
        module = _module(desk, held, update)
        inside = already_in(desk, held, done_here, update, module.step)
        notices += [inside.notice] if inside else []
        if inside and not inside.is_candidate:
            installed.append(inside.name)
            continue
        why_not = module.ruled_out or _not_for_this_calibration(update, module, lineage)
        ruled_out += [update.number or update.title] if module.ruled_out else []
        notices += [why_not] if why_not else []
        if not why_not:
            known = records.get(update.note_id)
            left.append(_candidate(desk, held, one, update, module, known, against[update.note_id]))
    return CandidatesInHand(
        tuple(left),
        tuple(on_file.by_id[one.note_id] for one in left),
        frozenset(says for one in left for says in against[one.note_id].entries),
        tuple(notices),
        tuple(installed),
        tuple(ruled_out),
    )


def _module(desk: Desk, held: ConcernOnFile, update: UpdateOnFile) -> Module:
    readings = case_desk.last_readings(store.calibrations(desk.session, held.concern.id or 0))
    look_ups = case_desk.look_ups_of(store.look_ups(desk.session, held.repair_order.vehicle_id))
    step = update.step_for({module: reading.calibration_id for module, reading in readings.items()})
    reading = readings.get(fold_id(step.module))
    lineage = updates_desk.on_file(desk).lineage(held.vehicle.make)
    limit = settings_desk.current(desk).look_up_limit_days
    status = lineage.status(reading, look_ups, desk.today, limit)
    if not update.ids_known:
        recalls = recalls_desk.of_concern(desk, held)
        told = looked_up(update, recalls, look_ups, desk.today)
        return Module(step, reading, status.state, status.newer, told.on, told.ruled_out)
    last = last_look_up(look_ups, desk.today, step.module)
    return Module(step, reading, status.state, status.newer, last.looked_up_on if last else None)


def _not_for_this_calibration(update: UpdateOnFile, module: Module, lineage: Lineage) -> str:
    """Why an update cannot go into this module, where its chain says so; empty where it can."""
    reading, step = module.reading, module.step
    if not update.ids_known or reading is None or module.state is not CalibrationState.SUPERSEDED:
        return ""
    if not lineage.knows(step.module, reading.calibration_id):
        return ""
    newer = {fold_id(one) for one in lineage.newer_than(step.module, reading.calibration_id)}
    if fold_id(step.new_id) in newer:
        return ""
    name = update.number or update.title
    return (
        f"{step.module} {reading.calibration_id} is not one that {name} replaces "
        f"({', '.join(step.old_ids)} → {step.new_id}): it is no candidate here."
    )


_STATUS: Mapping[CalibrationState, CalibrationStatus] = {
    CalibrationState.NEWEST_ON_FILE: CalibrationStatus.NEWEST,
    CalibrationState.SUPERSEDED: CalibrationStatus.SUPERSEDED,
    CalibrationState.NOT_ON_FILE: CalibrationStatus.NOT_ON_FILE,
    CalibrationState.NOT_READ: CalibrationStatus.NOT_READ,
}


def _candidate(
    desk: Desk,
    held: ConcernOnFile,
    one: Offered,
    update: UpdateOnFile,
    module: Module,
    record: CureRecord | None,
    against: WordsAgainst,
) -> CandidateInHand:
    settings, currency = concern_costs.settings_on(desk, held.concern)[0], desk.shop.currency
    applies = applies_to_recorded(update.coverage, vehicle_of(held.vehicle), families.in_force(desk)).applies
    return CandidateInHand(
        note_id=update.note_id,
        number=update.number,
        title=update.title,
        module=module.step.module,
        grade=one.grade,
        applies=applies if update.coverage else Applies.CANNOT_TELL,
        status=_STATUS[module.state],
        calibration_id=module.reading.calibration_id if module.reading else "",
        newest_id=", ".join(module.newest),
        looked_up_on=module.looked_up_on,
        record=record,
        other_cost=to_major(settings.relearn_cost_minor + _part(settings, update), currency),
        module_price=to_major(settings.module_price_minor_of(module.step.module), currency),
        merged=one.merged,
        speaks_against=update.speaks_against,
        words_against=against.conditions,
        remedy=update.remedy_or_software,
        ids_known=update.ids_known,
        is_recall=update.is_recall,
    )


def _part(settings: ShopSettings, update: UpdateOnFile) -> int:
    """What a part costs that goes in with the software, labor included; nothing where software is all."""
    return settings.part_cost_minor if update.remedy is Remedy.SOFTWARE_AND_PART else 0
