"""Which module the candidates of a concern are for, and what is still to be known of it."""

from __future__ import annotations

from dataclasses import dataclass

from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.advice.advice import give_advice
from kb.desk.bay.concern import known
from kb.desk.bay.concern.as_it_stands import CalibrationView, how_it_stands
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.context import Desk, anyone_in_the_shop
from kb.nouns.bay.known import KnownFrom
from kb.nouns.vehicles import fold_id


@dataclass(frozen=True, slots=True)
class Expected:
    """An ID that the look-up of a module will probably offer, and where that is from in words."""

    calibration_id: str
    sentence: str


@dataclass(frozen=True, slots=True)
class ModuleAsked:
    """The first module that is not read yet, else the first; one whose look-up by VIN is missing or too old,
    once all are read, with what it is `expected` to offer; and the conditions that the best candidate prints.
    """

    module: str = ""
    to_look_up: CalibrationView | None = None
    conditions: str = ""
    expected: tuple[Expected, ...] = ()


@anyone_in_the_shop
def module_asked(desk: Desk, concern_id: int) -> ModuleAsked:
    """A typed ID that is not confirmed is not read. Raises NotFound."""
    by_id = updates_desk.on_file(desk).by_id
    offered = [by_id[one.note] for one in give_advice(desk, concern_id).candidates]
    stands = how_it_stands(desk, concern_id).calibrations
    settled = {fold_id(one.reading.module): one for one in stands if not one.to_confirm}
    modules = [module for one in offered for module in one.modules]
    unread = [module for module in modules if fold_id(module) not in settled]
    waiting = [one for module in modules if (one := settled.get(fold_id(module))) and one.stale]
    to_look_up = waiting[0] if waiting and not unread else None
    return ModuleAsked(
        module=(*unread, *modules, "")[0],
        to_look_up=to_look_up,
        conditions=next((one.conditions for one in offered if one.conditions), ""),
        expected=_expected(desk, concern_id, to_look_up) if to_look_up else (),
    )


def _expected(desk: Desk, concern_id: int, to_look_up: CalibrationView) -> tuple[Expected, ...]:
    """Each ID once: what would replace it by our notes, then what a like vehicle was offered; an ID of
    both is told as of that vehicle. None without a VIN: nothing can be looked up by it.
    """
    if not read_concern(desk, concern_id).vehicle.vin:
        return ()
    module = fold_id(to_look_up.reading.module)
    alike = [
        Expected(one.calibration_id, one.sentence)
        for one in known.known_ids_of(desk, concern_id)
        if one.known_from is KnownFrom.LIKE_VEHICLE and fold_id(one.module) == module
    ]
    noted = [Expected(one, f"{one} is the newest by our notes.") for one in to_look_up.newer]
    return tuple({fold_id(one.calibration_id): one for one in (*noted, *alike)}.values())
