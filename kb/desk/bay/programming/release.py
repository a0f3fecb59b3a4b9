"""What is settled before a vehicle leaves (cameras, odometer, CVN, relearns...), and letting it go."""

from __future__ import annotations

from collections.abc import Mapping

from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.handover import clocks
from kb.desk.bay.programming import co_signs
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import BadInput, NotFound
from kb.nouns.bay.release import CAMERAS, RELEASED, Asks, Release, ReleaseItem
from kb.prep.release import camera_answer, cvn_read, may_leave, odometer_read, vin_read
from kb.prep.release_lines import release_of, updates_programmed
from kb.records.store.bay import case as store

_READ = {Asks.ODOMETER: odometer_read, Asks.CVN: cvn_read, Asks.VIN: vin_read}


@anyone_in_the_shop
def release_list(desk: Desk, concern_id: int) -> Release:
    """The lines of a concern, as they were answered."""
    file = read_concern(desk, concern_id)
    notes = {one: updates_desk.whole_note(desk, one) for one in updates_programmed(file)}
    known = {one: note for one, note in notes.items() if note is not None}
    return release_of(file, known, updates_desk.on_file(desk), co_signs.lines_after(desk, file))


@anyone_in_the_shop
def settle_release(
    desk: Desk, concern_id: int, key: str, answer: str, said: Mapping[str, str] | None = None
) -> None:
    """Save one line by name, with what goes with it; an empty answer opens it again.

    Raises BadInput for what is no answer or lacks its source, proof or reading, and where no programming was
    begun for the concern.
    """
    listed = release_list(desk, concern_id)
    line = next((one for one in (listed.cameras, *listed.items) if one.key == key), None)
    if line is None:
        raise NotFound(f"There is no line {key!r} before release.")
    if answer and not listed.begun:
        raise BadInput("No programming is on record for this concern: there is nothing to settle yet.")
    if answer:
        co_signs.refuse_wrong_signer(desk, line.signers, co_signed=line.is_co_signed)
        kept, more = _read(line, answer, said or {})
        store.put_tick(
            desk.session, concern_id, item=key, measured=kept, said=more, by=desk.actor.name, at=desk.now
        )
    else:
        store.clear_tick(desk.session, concern_id, key)
    clocks.answered(desk, concern_id, [key] if answer else [])
    store.clear_tick(desk.session, concern_id, RELEASED)
    desk.note_down("before release", "concern", concern_id, item=key, answer=answer)


@anyone_in_the_shop
def release_vehicle(desk: Desk, concern_id: int, reason: str = "", *, customer_told: bool = False) -> None:
    """Let the vehicle go, by name. With lines open only with a reason and the customer told, and never past
    a line that the law binds.
    """
    desk.must_be_signed()
    listed = release_list(desk, concern_id)
    if not listed.begun:
        raise BadInput("No programming is on record for this concern: there is nothing to release yet.")
    may_leave(listed.open_lines, listed.bound_by_law, reason, customer_told=customer_told)
    told = {"open": "; ".join(listed.open_lines), "customer_told": "yes" if customer_told else ""}
    store.put_tick(
        desk.session,
        concern_id,
        item=RELEASED,
        measured=RELEASED,
        passed_over=reason.strip() if listed.open_lines else "",
        said=told,
        by=desk.actor.name,
        at=desk.now,
    )
    desk.note_down("released", "concern", concern_id, reason=reason, **told)


def refuse_to_close_unreleased(desk: Desk, concern_id: int) -> None:
    """Raise BadInput where the cameras are known to be open and nobody released the vehicle so."""
    listed = release_list(desk, concern_id)
    if listed.begun and listed.cameras.answer and listed.cameras_open and listed.released is None:
        raise BadInput(
            f"{listed.cameras_open}. Settle it on the release list, or release the vehicle there by name, "
            "with a reason and the customer told.",
            fields={"release": "not released"},
        )


def _read(line: ReleaseItem, answer: str, said: Mapping[str, str]) -> tuple[str, dict[str, str]]:
    if line.key == CAMERAS:
        return camera_answer(answer, said)
    read = _READ.get(line.asks)
    return "done", read({**said, "expected": line.expected}) if read else {}
