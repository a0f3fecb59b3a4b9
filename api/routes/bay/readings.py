"""What was read of a vehicle on a concern: all of it, and what is struck."""

from __future__ import annotations

from api.deps import Id, SignedInCall
from api.description.refusals import CONFLICT
from api.routing import Router
from api.schemas.base import Word
from api.schemas.snapshots import SnapshotBody
from kb.desk.bay.concern import concern_file, known, snapshots, striking
from kb.desk.bay.concern.snapshots import SnapshotKept
from kb.nouns.bay.known import KnownId, KnownOfVin
from kb.nouns.bay.readings import Reading
from kb.nouns.bay.snapshot import Snapshot

router = Router(tags=["concerns"])


@router.get("/concerns/{concern_id}/readings")
def list_readings(concern_id: Id, call: SignedInCall) -> tuple[Reading, ...]:
    """Every value read on the concern, in the order in which it was taken; values of one `readout_id` were
    taken together. A CVN is of the calibration ID of its `place`. What was struck is in it, with the name.
    """
    with call.reading() as desk:
        return concern_file.read_concern(desk, concern_id).read


@router.post("/concerns/{concern_id}/snapshots", responses=CONFLICT)
def keep_snapshot(concern_id: Id, body: SnapshotBody, call: SignedInCall) -> SnapshotKept:
    """Everything that a scan tool read of the vehicle at one time, kept with the concern.

    Where the VIN is not the concern's nothing is filled in: 409, with the open concerns of that VIN as
    `concerns` in `details`. Sent once more, it adds nothing (`on_file_already`).
    """
    with call.writing() as desk:
        return snapshots.keep_snapshot(desk, concern_id, body.as_value(Snapshot))


@router.post("/concerns/{concern_id}/readings/{reading_id}/strike")
def strike_reading(concern_id: Id, reading_id: Id, call: SignedInCall) -> tuple[Reading, ...]:
    """Strike a mistyped value: it counts no more and stays on file. With an ID goes its CVN, with a scan its
    codes.
    """
    with call.writing() as desk:
        striking.strike_reading(desk, concern_id, reading_id)
        return concern_file.read_concern(desk, concern_id).read


@router.get("/vehicles/known")
def read_known_of_vin(call: SignedInCall, vin: Word) -> KnownOfVin | None:
    """What vehicles here whose VIN begins alike have in common: make, model and engine, as a proposal; else
    what the VIN itself says (`vehicles` 0). Null where neither names the make, or the VIN is on file.
    """
    with call.reading() as desk:
        return known.known_of_vin(desk, vin)


@router.get("/concerns/{concern_id}/known-ids")
def list_known_ids(concern_id: Id, call: SignedInCall) -> tuple[KnownId, ...]:
    """What the shop knows of calibration IDs that nobody read on this concern yet, as proposals; the
    `sentence` says where each is from. Nothing is taken by itself.

    `still_in` is what we put into the module: take it by a reading of source `records`, to be confirmed.
    `like_vehicle` is what a look-up named for a like vehicle in the last 90 days: look this VIN up too.
    """
    with call.reading() as desk:
        return known.known_ids_of(desk, concern_id)
