"""A calibration that the manufacturer offers and no note here installs: nobody here knows what it cures."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.vehicles import LookUp, fold_id
from kb.vehicle.lineage import last_look_up, last_readings
from kb.vehicle.updates_on_file import UpdatesOnFile, is_of_make


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


def newer_unknown(file: ConcernFile, updates: UpdatesOnFile, today: date) -> tuple[NewerUnknown, ...]:
    """By module, what the last look-up by VIN named beyond what is read and on file."""
    readings = last_readings(file.readings)
    found = []
    for module in dict.fromkeys(fold_id(one.module) for one in file.look_ups):
        one = last_look_up(file.look_ups, today, module)
        if one is None:
            continue
        reading = readings[module].speaking_of((one.newest_id,)) if module in readings else None
        read = reading.calibration_id if reading else ""
        known = not fold_id(one.newest_id) or fold_id(one.newest_id) == fold_id(read)
        if not known and not _is_installed_by_a_note(one, updates, file.vehicle.make):
            found.append(NewerUnknown(one.module, read, one.newest_id))
    return tuple(found)


def _is_installed_by_a_note(look_up: LookUp, updates: UpdatesOnFile, make: str) -> bool:
    return any(
        (fold_id(step.module), fold_id(step.new_id)) == (fold_id(look_up.module), fold_id(look_up.newest_id))
        for update in updates.by_id.values()
        if is_of_make(update, make)
        for step in update.steps
    )
