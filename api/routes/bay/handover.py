"""For the next shift: what is next and who does it, and the clocks that run."""

from __future__ import annotations

from api.deps import Id, SignedInCall
from api.description.refusals import CONFLICT
from api.routing import Router
from api.schemas.concerns import ClockBody, NextBody
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.handover import clocks, next_up
from kb.nouns.bay.clocks import ClockAsked, ClockView
from kb.nouns.bay.next_up import NextUp

router = Router(tags=["concerns"])


@router.put("/concerns/{concern_id}/next", responses=CONFLICT)
def say_next(concern_id: Id, body: NextBody, call: SignedInCall) -> NextUp | None:
    """What is next on it, in place of what was said before; an empty `what` takes it back. Closed: 409."""
    with call.writing() as desk:
        next_up.say_next(desk, concern_id, body.what, body.who)
        return read_concern(desk, concern_id).next_up


@router.get("/clocks")
def running_clocks(call: SignedInCall) -> tuple[ClockView, ...]:
    """The clocks that run on open concerns; those that are over come first."""
    with call.reading() as desk:
        return clocks.running_clocks(desk)


@router.post("/concerns/{concern_id}/clocks", status_code=201, responses=CONFLICT)
def start_clock(concern_id: Id, body: ClockBody, call: SignedInCall) -> ClockView:
    """Start one, in place of the same that runs. A soak is what the concern waits for from then on, unless it
    waits for something else. A closed concern: 409.
    """
    with call.writing() as desk:
        return clocks.start_clock(desk, concern_id, body.as_value(ClockAsked))


@router.post("/clocks/{clock_id}/end", status_code=204)
def end_clock(clock_id: Id, call: SignedInCall) -> None:
    """It is over, or was not needed. A check's clock ends with its result, every clock with its concern."""
    with call.writing() as desk:
        clocks.end_clock(desk, clock_id)
