"""Calibration IDs that the shop knows of a vehicle's modules before anybody reads them, as proposals."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.bay.known import KnownFrom, KnownId
from kb.nouns.bay.on_file import Programmed
from kb.nouns.concerns import FollowUpResult
from kb.nouns.days import day_words
from kb.nouns.vehicles import fold_id
from kb.vehicle.lineage import last_look_up

LOOKED_UP_DAYS = 90


def still_in(file: ConcernFile) -> tuple[KnownId, ...]:
    """What the shop last put into each module that nobody read on this concern.

    None where the vehicle was updated over the air since, or the module is another one.
    """
    read = {fold_id(one.module) for one in file.readings}
    last = {fold_id(one.module): one for one in file.programmed if one.installed}
    if file.has_fault("module_original"):
        return ()
    return tuple(
        _went_in(file, one)
        for module, one in last.items()
        if module not in read and one.calibration_after and not _updated_by_air_since(file, one.performed_on)
    )


def looked_up_on_like(file: ConcernFile, looked_up: Iterable[KnownId], today: date) -> tuple[KnownId, ...]:
    """Of IDs looked up on like vehicles, newest first, the first of each module, where this vehicle has no
    look-up of its own in as many days. None without a VIN: nothing can be looked up by it.
    """
    if not file.vehicle.vin:
        return ()
    first: dict[str, KnownId] = {}
    for one in looked_up:
        own = last_look_up(file.look_ups, today, one.module)
        if own is None or (today - own.looked_up_on).days > LOOKED_UP_DAYS:
            first.setdefault(fold_id(one.module), one)
    return tuple(first.values())


def _went_in(file: ConcernFile, one: Programmed) -> KnownId:
    ref = file.ref_of(one.concern_id) if one.concern_id else "another visit"
    went_in = f"{one.calibration_after} went into the {one.module} on {day_words(one.performed_on)} ({ref})"
    said = f"{went_in}; still in it by our records."
    return KnownId(
        KnownFrom.STILL_IN,
        one.module,
        one.calibration_after,
        one.cvn_after,
        one.performed_on,
        one.technician,
        said,
    )


def _updated_by_air_since(file: ConcernFile, day: date) -> bool:
    return any(
        one.said.result is FollowUpResult.UPDATED_BY_AIR and one.said.seen_on >= day
        for some in file.heard.values()
        for one in some
    )
