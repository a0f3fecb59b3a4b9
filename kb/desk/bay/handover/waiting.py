"""What an open concern waits for: said with a tap, over with a tap, and with the event that it waited for."""

from __future__ import annotations

from kb.desk.bay.concern import concerns as concerns_desk
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import BadInput, Conflict
from kb.nouns.bay.clocks import ClockKind
from kb.nouns.bay.waiting import BY_HAND, LONGEST_REMARK, Waiting, WaitingFor
from kb.records.store.bay import clocks as clock_store
from kb.records.store.bay import writing
from kb.records.tables import ConcernRow


@anyone_in_the_shop
def wait_for(desk: Desk, concern_id: int, waiting_for: WaitingFor, remark: str = "") -> None:
    """Say what it waits for, in place of what was said before. Raises Conflict for a closed concern, and for
    one that is out: that waits until its result is told.
    """
    held = concerns_desk.still_open(desk, concern_id, "it waits for anything")
    refuse_while_out(held.concern)
    if waiting_for not in BY_HAND:
        raise BadInput(
            "Send it out: that says to whom and until when.", fields={"waiting_for": "send it out"}
        )
    said = remark_of(remark)
    _put(desk, held.concern, Waiting(waiting_for, said, desk.actor.name, desk.now))
    desk.note_down("waits", "concern", concern_id, waiting_for=waiting_for.value, remark=said)


@anyone_in_the_shop
def wait_until_back(desk: Desk, concern_id: int, remark: str) -> None:
    """It is out, and waits for its result."""
    row = concerns_desk.on_file(desk, concern_id).concern
    _put(desk, row, Waiting(WaitingFor.SENT_OUT, remark[:LONGEST_REMARK], desk.actor.name, desk.now))


def refuse_while_out(row: ConcernRow) -> None:
    """Raise Conflict for a concern that is out."""
    if row.waiting_for == WaitingFor.SENT_OUT.value:
        raise Conflict("It is out. Say first what came back, or that no word came, or take that back.")


@anyone_in_the_shop
def go_on(desk: Desk, concern_id: int, *, arrived: WaitingFor | None = None) -> None:
    """It waits no longer; with `arrived` only if that is what it waited for. One that is out waits until its
    result is told: Conflict.
    """
    row = concerns_desk.on_file(desk, concern_id).concern
    if arrived is None:
        refuse_while_out(row)
    waits_for = row.waiting_for
    if not waits_for or (arrived is not None and waits_for != arrived.value):
        return
    _put(desk, row, None)
    if waits_for == WaitingFor.SOAK.value:
        clock_store.end(desk.session, concern_id, desk.actor.name, desk.now, kinds=[ClockKind.SOAK])
    desk.note_down("goes on", "concern", concern_id, waited_for=waits_for)


def remark_of(typed: str) -> str:
    """What is said of a wait or a clock in a line. Raises BadInput for more."""
    said = typed.strip()
    if len(said) > LONGEST_REMARK:
        too_long = f"{len(said)} characters are too many; {LONGEST_REMARK} fit."
        raise BadInput(too_long, fields={"remark": too_long})
    return said


def _put(desk: Desk, row: ConcernRow, waiting: Waiting | None) -> None:
    """The words that the search reads are the same, so its revision of the concern stays."""
    row.sqlmodel_update(writing.waits(waiting))
    desk.session.flush()
