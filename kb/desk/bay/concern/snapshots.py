"""A snapshot of a car, kept with the concern that it is of: by its VIN, never by guess."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from kb.desk.bay.concern import readings
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.concern.facts import let_stand
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import BadInput, Conflict
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.bay.list_asked import ListAsked
from kb.nouns.bay.readings import Reading, Readout, by_readout, last_scan
from kb.nouns.bay.snapshot import Snapshot
from kb.nouns.days import day_words
from kb.nouns.read_values import ReadValue
from kb.records.store.bay.other_concerns import concerns_listed
from kb.vehicle.vin import VIN_LENGTH, normalise

_CLOCKS_DIFFER = timedelta(minutes=10)
_MOST_OFFERED = 10


@dataclass(frozen=True, slots=True)
class SnapshotKept:
    """The concern it is kept with, how many values were new, and whether it was on file already."""

    concern_id: int
    ref: str
    values: int
    on_file_already: bool


@anyone_in_the_shop
def keep_snapshot(desk: Desk, concern_id: int, snapshot: Snapshot) -> SnapshotKept:
    """Add a snapshot to what was read on a concern; sent once more, it adds nothing.

    Raises Conflict where it is of another VIN than the concern's, with the open concerns of that VIN as
    `concerns` in the details, and BadInput for what cannot be.
    """
    file = read_concern(desk, concern_id)
    taken_at = _taken_at(desk, snapshot.taken_at)
    _refuse_another_vehicle(desk, file, snapshot)
    values = _checked(snapshot).values
    readout = replace(readings.taken_now(desk, file, values, snapshot.moment), taken_at=taken_at)
    if not values:
        raise BadInput("There is nothing in the snapshot but its VIN.", fields={"modules": "nothing read"})
    if _is_on_file(file, readout):
        return SnapshotKept(file.id, file.ref, 0, on_file_already=True)
    before = readings.scan_before(file) if snapshot.codes is not None else ()
    readings.keep(desk, file.id, (*before, readout))
    stands = last_scan(read_concern(desk, file.id).read)
    if snapshot.codes is not None and stands is not None:
        let_stand(desk, file.id, *stands)
    desk.note_down("took snapshot", "concern", file.id, values=len(values), taken_at=taken_at.isoformat())
    return SnapshotKept(file.id, file.ref, len(values), on_file_already=False)


def _taken_at(desk: Desk, said: datetime) -> datetime:
    at = said if said.tzinfo else said.replace(tzinfo=desk.shop.zone)
    if at > desk.now + _CLOCKS_DIFFER:
        raise BadInput(
            f"The snapshot says {day_words(at.date())}, {at:%H:%M}, which lies in the future. Set the scan "
            "tool's clock, and put the right time into the file.",
            fields={"taken_at": "in the future"},
        )
    return min(at, desk.now)


def _refuse_another_vehicle(desk: Desk, file: ConcernFile, snapshot: Snapshot) -> None:
    vin, own = normalise(snapshot.vin), file.vehicle.vin
    if len(vin) != VIN_LENGTH:
        raise BadInput(
            "The snapshot says no whole VIN, so nobody can tell which vehicle it is of. Put the VIN into it.",
            fields={"vin": "17 characters"},
        )
    if vin == own:
        return
    lines = concerns_listed(desk.session, desk.shop.id, ListAsked(text=vin), _MOST_OFFERED)
    theirs = [{"id": one.id, "ref": one.line.ref} for one in lines if one.line.vehicle.vin == vin]
    whose = f"{file.ref} is of {own}" if own else f"{file.ref} has no VIN on file"
    elsewhere = f"That VIN is on {', '.join(str(one['ref']) for one in theirs)}: keep it there."
    what_to_do = elsewhere if theirs else "Enter that VIN on its concern first, if it is that vehicle."
    raise Conflict(
        f"This snapshot is of VIN {vin}; {whose}. Nothing was filled in. {what_to_do}",
        details={"vin": vin, "concerns": theirs},
    )


def _checked(snapshot: Snapshot) -> Snapshot:
    """The same with its codes as they are written. Raises BadInput for codes that cannot be and a module
    without a name.
    """
    if not all(one.module.strip() for one in snapshot.modules):
        raise BadInput("Each module needs its name.", fields={"modules": "a module without a name"})
    if snapshot.codes is None:
        return snapshot
    upper = (replace(one, module=one.module.strip().upper()) for one in snapshot.codes)
    return replace(snapshot, codes=readings.as_written(upper))


def _is_on_file(file: ConcernFile, readout: Readout) -> bool:
    new = {_said(one) for one in readout.values}
    same_time = [some for some in by_readout(file.read) if some[0].taken_at == readout.taken_at]
    return any(new == {_said(one) for one in some} for some in same_time)


def _said(one: ReadValue | Reading) -> tuple[object, ...]:
    return one.kind, one.module, one.status, one.place, one.value
