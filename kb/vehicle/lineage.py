"""The chain of calibrations of a module, where one ID stands in it, and which ID waits to be confirmed.

The manufacturer's look-up by VIN decides over the shop's own file; the file is only what the notes say.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from graphlib import CycleError, TopologicalSorter

from kb.errors import BadInput
from kb.nouns.vehicles import CalibrationReading, CalibrationStep, LookUp, fold_id

_Key = tuple[str, str]


class CalibrationState(StrEnum):
    """Where a calibration ID stands."""

    SUPERSEDED = "superseded"
    NEWEST_ON_FILE = "newest_on_file"
    NOT_ON_FILE = "not_on_file"
    NOT_READ = "not_read"


@dataclass(frozen=True, slots=True)
class CalibrationStatus:
    """Where one reading stands on one day.

    `newer` are the newest IDs known to replace it (several where the chain forks), `looked_up_on` the last
    look-up by VIN, `stale` whether that look-up is missing or older than the limit, `to_confirm` whether a
    typed ID still has to be confirmed, `file_disagrees` whether the notes know a newer ID than a look-up
    that found none.
    """

    state: CalibrationState
    calibration_id: str = ""
    newer: tuple[str, ...] = ()
    looked_up_on: date | None = None
    stale: bool = True
    to_confirm: bool = False
    file_disagrees: bool = False


@dataclass(frozen=True, slots=True)
class Lineage:
    """All chains of the shop's notes: for each module and old ID the IDs that replace it."""

    after: Mapping[_Key, tuple[str, ...]]
    spelling: Mapping[_Key, str]

    @classmethod
    def of(cls, steps: Iterable[CalibrationStep]) -> Lineage:
        """Join the steps of many notes; BadInput names the IDs where they go in a circle."""
        after: dict[_Key, dict[str, None]] = {}
        spelling: dict[_Key, str] = {}
        for step in steps:
            module, new = fold_id(step.module), fold_id(step.new_id)
            for typed in filter(fold_id, (*step.old_ids, step.new_id)):
                spelling.setdefault((module, fold_id(typed)), typed.strip())
            for old in filter(None, map(fold_id, step.old_ids)):
                if new:
                    after.setdefault((module, old), {})[new] = None
        _refuse_circles(after, spelling)
        return cls({key: tuple(news) for key, news in after.items()}, spelling)

    def knows(self, module: str, calibration_id: str) -> bool:
        """Whether any note names this ID for this module."""
        return (fold_id(module), fold_id(calibration_id)) in self.spelling

    def newer_than(self, module: str, calibration_id: str) -> tuple[str, ...]:
        """Every ID that replaces this one, directly or by steps, nearest first, as the notes spell them."""
        place, found, waiting = fold_id(module), dict[str, None](), [fold_id(calibration_id)]
        while waiting:
            for new in self.after.get((place, waiting.pop(0)), ()):
                if new not in found:
                    found[new] = None
                    waiting.append(new)
        return tuple(self.spelling[place, new] for new in found)

    def newest(self, module: str, calibration_id: str) -> tuple[str, ...]:
        """The ends of the chain from this ID: itself where nothing on file replaces it, several at a fork."""
        if not self.knows(module, calibration_id):
            return ()
        place = fold_id(module)
        ids = (calibration_id.strip(), *self.newer_than(module, calibration_id))
        return tuple(i for i in ids if (place, fold_id(i)) not in self.after)

    def telling(self, reading: CalibrationReading, look_ups: Sequence[LookUp]) -> CalibrationReading:
        """Of a module that holds several IDs the one that something is known of in front: that a note
        replaces, or a look-up named, or a note names.
        """
        module, ids = reading.module, [one.calibration_id for one in reading.ids]
        replaced = [one for one in ids if self.newer_than(module, one)]
        named = [one.newest_id for one in look_ups if fold_id(one.module) == fold_id(module)]
        known = [one for one in ids if self.knows(module, one)]
        return reading.speaking_of(replaced or known).speaking_of(() if replaced else named)

    def status(
        self, reading: CalibrationReading | None, look_ups: Sequence[LookUp], as_of: date, limit_days: int
    ) -> CalibrationStatus:
        """Where a reading stands on `as_of`, with the look-ups by VIN made for this vehicle until then.

        A look-up not older than `limit_days` that names this very ID, or found nothing newer, makes it the
        newest; one that names another ID makes it superseded. Without one the file decides, and an ID that
        the file does not know is not on file. A typed ID not confirmed is never the newest: it counts as
        not read until confirmed.
        """
        if reading is None or not fold_id(reading.calibration_id):
            return CalibrationStatus(CalibrationState.NOT_READ)
        last = last_look_up(look_ups, as_of, reading.module)
        fresh = last is not None and (as_of - last.looked_up_on).days <= limit_days
        on_file = self.newest(reading.module, reading.calibration_id)
        newer = tuple(i for i in on_file if fold_id(i) != fold_id(reading.calibration_id))
        named = last.newest_id.strip() if last and self._replaces(last.newest_id, reading) else ""
        confirms = fresh and last is not None and not named and _confirms(last, reading)
        state = _state(bool(named), confirms, newer, on_file)
        typed = reading.waits_to_be_confirmed
        return CalibrationStatus(
            CalibrationState.NOT_READ if typed and state is CalibrationState.NEWEST_ON_FILE else state,
            reading.calibration_id.strip(),
            (named,) if named else () if confirms else newer,
            last.looked_up_on if last else None,
            not fresh,
            typed,
            confirms and bool(newer),
        )

    def _replaces(self, newest_id: str, reading: CalibrationReading) -> bool:
        """Whether a looked-up ID is another one than the reading, and not older by the file."""
        named, read = fold_id(newest_id), fold_id(reading.calibration_id)
        later = map(fold_id, self.newer_than(reading.module, newest_id))
        return bool(named) and named != read and read not in later


def _state(named: bool, confirms: bool, newer: Sequence[str], on_file: Sequence[str]) -> CalibrationState:
    if named:
        return CalibrationState.SUPERSEDED
    if confirms:
        return CalibrationState.NEWEST_ON_FILE
    if newer:
        return CalibrationState.SUPERSEDED
    return CalibrationState.NEWEST_ON_FILE if on_file else CalibrationState.NOT_ON_FILE


def _confirms(look_up: LookUp, reading: CalibrationReading) -> bool:
    if look_up.newest_id.strip():
        return fold_id(look_up.newest_id) == fold_id(reading.calibration_id)
    return look_up.nothing_newer


def last_readings(readings: Iterable[CalibrationReading]) -> dict[str, CalibrationReading]:
    """Of readings, oldest first, the last of each module, by the module's name as compared."""
    return {fold_id(one.module): one for one in readings}


def last_look_up(look_ups: Sequence[LookUp], as_of: date, module: str = "") -> LookUp | None:
    """The newest of a module, or of any; of one day the last that was entered, so that a mistake can be put
    right the same day.
    """
    wanted = fold_id(module)
    known = [u for u in look_ups if u.looked_up_on <= as_of and wanted in ("", fold_id(u.module))]
    return max(reversed(known), key=lambda u: u.looked_up_on, default=None)


def _refuse_circles(after: Mapping[_Key, Mapping[str, None]], spelling: Mapping[_Key, str]) -> None:
    graph = {key: [(key[0], new) for new in news] for key, news in after.items()}
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as circle:
        ids = [spelling[key] for key in reversed(circle.args[1])]
        chain = " → ".join(ids)
        message = (
            f"Calibration IDs go in a circle: {chain}. Correct the old or the new ID of one of these steps."
        )
        raise BadInput(message, fields={"steps": message}, details={"ids": ids[1:]}) from circle
