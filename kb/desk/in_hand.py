"""Everything one piece of advice rests on, gathered from the records as the advice takes it."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from kb.advice.against import answered_by_words, by_words
from kb.advice.candidates import Offered
from kb.desk import candidates as candidates_desk
from kb.desk import case as case_desk
from kb.desk import checks as checks_desk
from kb.desk import concern_costs, families, plan_offers
from kb.desk import money as money_desk
from kb.desk import settings as settings_desk
from kb.desk import subscriptions as subscriptions_desk
from kb.desk import updates as updates_desk
from kb.desk.attached import answered_already, needs_road, speaks_for
from kb.desk.cautions import cautions_of
from kb.desk.context import Desk
from kb.desk.installed import already_in, installed_here
from kb.desk.records_of_updates import records_of
from kb.desk.recovery import recovery_stop
from kb.desk.said import said_of
from kb.desk.stops import notices_of, stops_of
from kb.desk.updates import UpdateOnFile
from kb.desk.vehicles import vehicle_of
from kb.desk.words_against import CONDITIONS_CHECK, words_against
from kb.nouns.advice import (
    CalibrationStatus,
    CandidateInHand,
    CheckInHand,
    ConcernInHand,
    CostSettings,
    CureRecord,
)
from kb.nouns.concerns import FindingResult
from kb.nouns.currency import to_major
from kb.nouns.vehicles import Applies, CalibrationReading, CalibrationStep, LookUp, Vehicle
from kb.records.store import case as store
from kb.records.store.concerns import ConcernOnFile
from kb.vehicle.coverage import applies_to_recorded
from kb.vehicle.lineage import CalibrationState, Lineage, fold_id


@dataclass(frozen=True, slots=True)
class Module:
    """What is known of the module that an update is for."""

    step: CalibrationStep
    reading: CalibrationReading | None
    state: CalibrationState
    newest: tuple[str, ...]
    looked_up_on: date | None


def concern_in_hand(desk: Desk, held: ConcernOnFile) -> ConcernInHand:
    """The concern with its candidates, checks, stops and costs, on the shop's day."""
    offered = candidates_desk.on_concern(desk, held)
    updates = updates_desk.on_file(desk)
    by_id = [updates.by_id[one.note_id] for one in offered]
    vehicle = vehicle_of(held.vehicle)
    modules = [_module(desk, held, update) for update in by_id]
    records = records_of(desk, [update.note_id for update in by_id])
    against = words_against(desk, said_of(candidates_desk.draft_of(desk, held)), by_id)
    done_here = installed_here(desk, held)
    notices: list[str] = []
    installed: list[str] = []
    kept = []
    for one, update, module in zip(offered, by_id, modules, strict=True):
        inside = already_in(desk, held, done_here, update, module.step)
        notices += [inside.notice] if inside else []
        if inside and not inside.is_candidate:
            installed.append(inside.name)
            continue
        why_not = _not_for_this_calibration(update, module, updates.lineage(vehicle.make))
        notices += [why_not] if why_not else []
        if not why_not:
            kept.append(
                replace(
                    _candidate(desk, held, one, update, module, records.get(update.note_id)),
                    words_against=against[update.note_id].conditions,
                )
            )
    near = () if kept else candidates_desk.near_notes(desk, held)
    gates = case_desk.gates_of(desk, held)
    lifts = store.stop_lifts(desk.session, held.concern.id or 0)
    stand = money_desk.standing(desk, held.repair_order.id or 0)
    currency = desk.shop.currency
    return ConcernInHand(
        concern_id=held.concern.id or 0,
        as_of=desk.today,
        candidates=tuple(kept),
        checks=_checks(
            desk,
            held,
            [updates.by_id[one.note_id] for one in kept],
            said=frozenset(says for one in kept for says in against[one.note_id].entries),
            other_conditions=bool(kept) and all(one.words_against for one in kept),
        ),
        stops=(*stops_of(gates, lifts), *recovery_stop(desk, held, lifts)),
        notices=(*notices_of(gates), *notices),
        costs=_costs(desk, held, vehicle),
        authorized=None if stand.authorized_minor is None else to_major(stand.authorized_minor, currency),
        used=to_major(stand.used_minor, currency),
        installed=tuple(installed),
        near=near,
        cautions=cautions_of(desk, held),
    )


def _module(desk: Desk, held: ConcernOnFile, update: UpdateOnFile) -> Module:
    readings = case_desk.last_readings(store.calibrations(desk.session, held.concern.id or 0))
    look_ups = case_desk.look_ups_of(store.look_ups(desk.session, held.repair_order.vehicle_id))
    step = update.step_for({module: reading.calibration_id for module, reading in readings.items()})
    reading = readings.get(fold_id(step.module))
    lineage = updates_desk.on_file(desk).lineage(held.vehicle.make)
    limit = settings_desk.current(desk).look_up_limit_days
    status = lineage.status(reading, look_ups, desk.today, limit)
    return Module(step, reading, status.state, status.newer, _last_look_up(step.module, look_ups, desk.today))


def _last_look_up(module: str, look_ups: Sequence[LookUp], today: date) -> date | None:
    days = [one.looked_up_on for one in look_ups if fold_id(one.module) == fold_id(module)]
    return max((day for day in days if day <= today), default=None)


def _not_for_this_calibration(update: UpdateOnFile, module: Module, lineage: Lineage) -> str:
    """Why an update cannot go into this module, where its chain says so; empty where it can."""
    reading, step = module.reading, module.step
    if reading is None or module.state is not CalibrationState.SUPERSEDED:
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
        other_cost=to_major(settings.relearn_cost_minor, currency),
        module_price=to_major(settings.module_price_minor_of(module.step.module), currency),
        merged=one.merged,
        speaks_against=update.speaks_against,
    )


def _checks(
    desk: Desk,
    held: ConcernOnFile,
    updates: Sequence[UpdateOnFile],
    said: Collection[str],
    *,
    other_conditions: bool,
) -> tuple[CheckInHand, ...]:
    """The checks that speak for an update here or were done; `said` is what the words say against one.

    `other_conditions`: they say that it does not act up under the conditions of any.
    """
    found = {check.id: row for row, check in store.findings(desk.session, held.concern.id or 0)}
    entries = tuple(one for update in updates for one in update.speaks_against)
    row = held.concern
    checks = (
        CheckInHand(
            definition=check.definition(desk.shop.currency),
            attached_to=speaks_for(check.id, check.content.system, updates),
            result=FindingResult(found[check.id].result) if check.id in found else FindingResult.NOT_DONE,
            answered_already=answered_already(check.key, row.codes_scanned, row.just_before),
            recorded_at=found[check.id].at if check.id in found else None,
            needs_road=needs_road(check.content.name, check.content.needs),
        )
        for check in checks_desk.list_checks(desk)
    )
    return tuple(
        by_words(check, "other conditions")
        if other_conditions and check.definition.key == CONDITIONS_CHECK and check.recorded_at is None
        else answered_by_words(check, entries, said)
        for check in checks
        if check.attached_to or check.recorded_at
    )


def _costs(desk: Desk, held: ConcernOnFile, vehicle: Vehicle) -> CostSettings:
    settings, own = concern_costs.settings_on(desk, held.concern)
    kind = subscriptions_desk.SubscriptionKind.PROGRAMMING
    bought = subscriptions_desk.bought_for(desk, vehicle.make, kind)
    as_set = "subscription_fee_minor" in own
    return settings.cost_settings(
        desk.shop.currency,
        subscription_fee_minor=None if as_set else plan_offers.price_of_access(desk, vehicle.make, bought),
        subscription_active=subscriptions_desk.running_on(bought, desk.today) is not None,
    )
