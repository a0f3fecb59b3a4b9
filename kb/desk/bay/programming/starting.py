"""Programming that was started and whose end nobody wrote down yet: whoever comes to the vehicle is told."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime

from kb.desk.access import shared_devices
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.programming.prep import prep_list
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import BadInput
from kb.nouns.bay.on_file import PROGRAMMING_STARTED
from kb.records.store.bay import case as store


@anyone_in_the_shop
def start(desk: Desk, concern_id: int, note_id: int | None = None, *, confirmed: bool = False) -> None:
    """Begin programming: refused while a stop is open or a line blocks; open lines are confirmed by name.

    Who starts what is going on already changes nothing; another update is looked at as ever.
    """
    of = str(note_id or "")
    going_on = read_concern(desk, concern_id).being_programmed
    if going_on is not None and going_on.measured == of:
        return
    listed = prep_list(desk, concern_id, note_id)
    if listed.stops:
        kinds = ", ".join(stop.kind.value.replace("_", " ") for stop in listed.stops)
        raise BadInput(f"Stop: {kinds}. Override it by name and reason first.", fields={"start": "stop"})
    if listed.blocking:
        said = "; ".join(item.line.text.rstrip(".") for item in listed.blocking)
        raise BadInput(
            f"Still blocking: {said}. Settle it, or pass it with a reason.", fields={"start": "blocks"}
        )
    if listed.open_lines and not confirmed:
        said = "Tick the open lines, or confirm by name that you start without them."
        raise BadInput(said, fields={"start": "open lines"})
    for item in listed.open_lines:
        key, why = item.line.key, "started with this line open"
        _put(desk, concern_id, key, passed_over=why)
        desk.note_down("prepared", "concern", concern_id, item=key, measured="", passed=why)
    _put(desk, concern_id, PROGRAMMING_STARTED, measured=of)
    shared_devices.programming_begins(desk)
    desk.note_down("started programming", "concern", concern_id, update=note_id)


@anyone_in_the_shop
def being_programmed(desk: Desk, concern_ids: Collection[int]) -> dict[int, tuple[str, datetime]]:
    """Of these concerns those that were started and whose end nobody wrote down: by whom, and when."""
    return store.ticked_on(desk.session, PROGRAMMING_STARTED, concern_ids) if concern_ids else {}


@anyone_in_the_shop
def not_started(desk: Desk, concern_id: int) -> None:
    """Take a start back: nothing was programmed."""
    read_concern(desk, concern_id)
    store.clear_tick(desk.session, concern_id, PROGRAMMING_STARTED)
    shared_devices.programming_is_over(desk)
    desk.note_down("took back the start of programming", "concern", concern_id)


def _put(desk: Desk, concern_id: int, item: str, *, measured: str = "", passed_over: str = "") -> None:
    by, at = desk.actor.name, desk.now
    store.put_tick(
        desk.session, concern_id, item=item, measured=measured, passed_over=passed_over, by=by, at=at
    )
