"""How a concern stands today, decided from its file for pages and the interface."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from kb.advice.before_plan.after_reflash import after_reflash, next_step
from kb.advice.before_plan.stops import gates_of
from kb.advice.before_plan.ways_open import sent_to_dealer_because
from kb.desk import settings as settings_desk
from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.concern import recalls as recalls_desk
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.concern.concern_lines import counted_as, is_cured, with_counted
from kb.desk.bay.handover.clocks import clocks_on
from kb.desk.context import Desk, anyone_in_the_shop
from kb.nouns.bay.after_reflash import AfterReflash, NextStep
from kb.nouns.bay.clocks import ClockView
from kb.nouns.bay.concern_file import ConcernFile, ConcernLine
from kb.nouns.bay.gates import GateView
from kb.nouns.bay.readings import Compared, Reading, last_voltages
from kb.nouns.concerns import Ending
from kb.nouns.copying import copied
from kb.nouns.recalls import RecallsOfConcern
from kb.nouns.vehicles import CalibrationReading, fold_id
from kb.outcomes.story import Story, stories_on
from kb.vehicle.before_and_after import compared
from kb.vehicle.lineage import last_readings


@dataclass(frozen=True, slots=True)
class CalibrationView:
    """A module's reading with where it stands. `state` is a word of kb.vehicle.lineage.

    `newer` are the IDs that would replace it, `stale` says that the look-up is missing or too old.
    """

    reading: CalibrationReading
    state: str
    newer: tuple[str, ...]
    looked_up_on: date | None
    looked_up_by: str
    stale: bool
    to_confirm: bool
    file_disagrees: bool


@dataclass(frozen=True, slots=True)
class AsItStands:
    """What a concern's file comes to now. `counted` as in a line, and of one that was sent to the dealer
    with why; `after` is None before a reflash.

    `compared` is each module programmed for it, by its IDs before and after, `voltages` those of the newest
    readout that has any. `other_lines` are those of its repair order, `earlier` those of other visits, the
    newest first.
    """

    calibrations: tuple[CalibrationView, ...]
    compared: tuple[Compared, ...]
    voltages: tuple[Reading, ...]
    gates: tuple[GateView, ...]
    recalls: RecallsOfConcern
    after: AfterReflash | None
    next_step: NextStep
    clocks: tuple[ClockView, ...]
    counted: str
    other_lines: tuple[ConcernLine, ...]
    earlier: tuple[ConcernLine, ...]


@anyone_in_the_shop
def how_it_stands(desk: Desk, concern_id: int) -> AsItStands:
    """Raises NotFound."""
    file = read_concern(desk, concern_id)
    return desk.once(("as it stands", file.id), lambda: _decided(desk, file))


def _decided(desk: Desk, file: ConcernFile) -> AsItStands:
    recalls, told, after = recalls_desk.of_concern(desk, file), stories_on(file), after_reflash(file)
    gates = gates_of(file, recalls)
    lines = list(zip(file.visits, with_counted(desk, file.visits, told), strict=True))
    other_lines = [line for one, line in lines if one.repair_order_id == file.repair_order_id]
    earlier = [line for one, line in lines if one.repair_order_id != file.repair_order_id]
    return AsItStands(
        calibrations=_calibrations(desk, file),
        compared=compared(file),
        voltages=last_voltages(file.read),
        gates=gates,
        recalls=recalls,
        after=after,
        next_step=next_step(file, after),
        clocks=clocks_on(desk, file),
        counted=_counted(desk, file, told, gates),
        other_lines=tuple(sorted(other_lines, key=lambda one: one.ref)),
        earlier=tuple(sorted(earlier, key=lambda one: one.opened_on, reverse=True)),
    )


def _counted(
    desk: Desk, file: ConcernFile, told: Mapping[int, tuple[Story, ...]], gates: Iterable[GateView]
) -> str:
    if file.ending == Ending.SENT_TO_DEALER.value:
        return sent_to_dealer_because(file.decisions, gates)
    cured = {file.id: file.cured_by_note_id} if is_cured(file.ending) else {}
    return counted_as(desk, cured, told).get(file.id, "")


def _calibrations(desk: Desk, file: ConcernFile) -> tuple[CalibrationView, ...]:
    """Each module's last reading with where it stands in its lineage today."""
    lineage = updates_desk.on_file(desk).lineage(file.vehicle.make)
    limit = settings_desk.current(desk).look_up_limit_days
    found = []
    for last in last_readings(file.readings).values():
        reading = lineage.telling(last, file.look_ups)
        status = lineage.status(reading, file.look_ups, desk.today, limit)
        by = [
            one.by
            for one in file.look_ups
            if fold_id(one.module) == fold_id(reading.module) and one.looked_up_on == status.looked_up_on
        ]
        by_whom = by[-1] if by else ""
        found.append(
            copied(CalibrationView, status, reading=reading, state=status.state.value, looked_up_by=by_whom)
        )
    return tuple(found)
