"""What was read of a vehicle on a concern: all of it, and what is struck."""

from __future__ import annotations

from fastapi import APIRouter

from api.deps import Id, SignedInCall
from kb.desk.bay.concern import concern_file, striking
from kb.nouns.bay.readings import Reading

router = APIRouter(tags=["concerns"])


@router.get("/concerns/{concern_id}/readings")
def list_readings(concern_id: Id, call: SignedInCall) -> tuple[Reading, ...]:
    """Every value read on the concern, in the order in which it was taken; values of one `readout_id` were
    taken together. A CVN is of the calibration ID of its `place`. What was struck is in it, with the name.
    """
    with call.reading() as desk:
        return concern_file.read_concern(desk, concern_id).read


@router.post("/concerns/{concern_id}/readings/{reading_id}/strike")
def strike_reading(concern_id: Id, reading_id: Id, call: SignedInCall) -> tuple[Reading, ...]:
    """Strike a mistyped value: it counts no more and stays on file. With an ID goes its CVN, with a scan its
    codes.
    """
    with call.writing() as desk:
        striking.strike_reading(desk, concern_id, reading_id)
        return concern_file.read_concern(desk, concern_id).read
