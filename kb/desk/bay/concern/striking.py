"""What was mistyped counts no more: it stays on file, with the name of whoever struck it."""

from __future__ import annotations

from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.concern.facts import let_stand
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import NotFound
from kb.nouns.bay.readings import Reading, last_scan
from kb.nouns.concerns import CodesScanned
from kb.nouns.read_values import ReadKind
from kb.nouns.vehicles import fold_id
from kb.records.store.bay import readings as store

_OF_A_SCAN = frozenset({ReadKind.CODES_SCANNED, ReadKind.CODE})


@anyone_in_the_shop
def strike_reading(desk: Desk, concern_id: int, reading_id: int) -> None:
    """With an ID goes its CVN, with a scan its codes. What is struck already stays as it is.

    Raises NotFound where no such value was read on the concern.
    """
    desk.must_be_signed()
    file = read_concern(desk, concern_id)
    wrong = next((one for one in file.read if one.id == reading_id), None)
    if wrong is None:
        raise NotFound(f"Nothing numbered {reading_id} was read on {file.ref}.")
    struck = [one.id for one in file.read if one.struck_at is None and _goes_with(one, wrong)]
    if not struck:
        return
    store.strike(desk.session, struck, desk.actor.name, desk.now)
    said = {"kind": wrong.kind.value, "module": wrong.module, "value": wrong.value}
    desk.note_down("struck reading", "concern", concern_id, **said)
    if wrong.kind in _OF_A_SCAN:
        left = [one for one in file.read if one.id not in struck]
        let_stand(desk, concern_id, *(last_scan(left) or (CodesScanned.NOT_SCANNED, ())))


def _goes_with(one: Reading, wrong: Reading) -> bool:
    if one.id == wrong.id:
        return True
    if one.readout_id != wrong.readout_id:
        return False
    if wrong.kind is ReadKind.CODES_SCANNED:
        return one.kind is ReadKind.CODE
    its_cvn = wrong.kind is ReadKind.CALIBRATION_ID and one.kind is ReadKind.CVN
    return its_cvn and (fold_id(one.module), one.place) == (fold_id(wrong.module), wrong.place)
