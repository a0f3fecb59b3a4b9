"""Which module the candidates of a concern are for, and what is still to be known of it."""

from __future__ import annotations

from dataclasses import dataclass

from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.advice.advice import give_advice
from kb.desk.bay.concern.as_it_stands import CalibrationView, how_it_stands
from kb.desk.context import Desk, anyone_in_the_shop
from kb.nouns.vehicles import fold_id


@dataclass(frozen=True, slots=True)
class ModuleAsked:
    """The first module that is not read yet, else the first; one whose look-up by VIN is missing or too old,
    once all are read; and the conditions that the best candidate prints.
    """

    module: str = ""
    to_look_up: CalibrationView | None = None
    conditions: str = ""


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
    return ModuleAsked(
        module=(*unread, *modules, "")[0],
        to_look_up=waiting[0] if waiting and not unread else None,
        conditions=next((one.conditions for one in offered if one.conditions), ""),
    )
