"""Updates whose remedy is software but whose calibration IDs nobody here knows: what a look-up by VIN says.

A recall's is settled by the look-up of recalls, which every concern has; another one's by the look-up of the
newest calibration of its module.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from kb.nouns.recalls import RecallResult, RecallsOfConcern, RecallStanding
from kb.nouns.vehicles import LookUp
from kb.vehicle.lineage import last_look_up
from kb.vehicle.updates_on_file import UpdateOnFile


@dataclass(frozen=True, slots=True)
class LookedUp:
    """The day it was looked up by VIN (None: not yet), and why it is no candidate then (empty: it is one)."""

    on: date | None = None
    ruled_out: str = ""


_RULES_OUT = {
    RecallResult.NOT_FOR_THIS_VIN: "{name} is not for this VIN by the look-up: it is no candidate here.",
    RecallResult.DONE: "{name} was done on this VIN by the look-up: it is no candidate again.",
    RecallResult.NONE_OPEN: "{name} is not open on this VIN by the look-up: done already, or not for it.",
}


def looked_up(
    update: UpdateOnFile, recalls: RecallsOfConcern, look_ups: Sequence[LookUp], today: date
) -> LookedUp:
    """What was looked up of an update without IDs."""
    if update.is_recall:
        return _of_recall(update, recalls)
    last = last_look_up(look_ups, today, update.remedy_module)
    if last is None:
        return LookedUp()
    nothing = f"{update.name}: nothing newer by the look-up of the {last.module}, so nothing to install."
    return LookedUp(last.looked_up_on, nothing if last.nothing_newer else "")


def _of_recall(update: UpdateOnFile, recalls: RecallsOfConcern) -> LookedUp:
    standing = next((one for one in recalls.recalls if one.note_id == update.note_id), None)
    result, on = _result(standing, recalls)
    return LookedUp(on, _RULES_OUT[result].format(name=update.name) if result in _RULES_OUT else "")


def _result(standing: RecallStanding | None, recalls: RecallsOfConcern) -> tuple[RecallResult, date | None]:
    if standing is not None and standing.result:
        return standing.result, standing.on
    if recalls.none_open:
        return RecallResult.NONE_OPEN, recalls.none_open.on
    return RecallResult.TAKEN_BACK, None
