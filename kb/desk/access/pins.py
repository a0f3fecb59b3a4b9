"""PINs: chosen by each person, kept as a salted hash, seen by nobody.

A PIN is short, so it opens little: a technician's rights, on a device that the shop marked as shared, behind
the waits that follow wrong tries (`waits.py`); ten in a row shut it (`shut_pins.py`).
"""

from __future__ import annotations

from kb.desk.access.whose import whose
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import BadInput
from kb.nouns.people import Door
from kb.records.store.shop import ways_in

SHORTEST_PIN, LONGEST_PIN = 4, 8
_RUNS = ("0123456789" * 2, "9876543210" * 2)
# Lines and corners of a number pad; common practice, no source.
_LINES = frozenset({"2580", "0852", "1470", "0741", "3690", "0963", "1379", "9731", "1397", "7931", "1590"})


@anyone_in_the_shop
def remove_pin(desk: Desk, user_id: int) -> None:
    """One's own, or as the owner anybody's: their tile goes, and whoever came in as them by PIN is out."""
    user = whose(desk, user_id)
    if user.pin_hash is not None:
        user.pin_hash, user.version = None, user.version + 1
        ways_in.end_sessions_by(desk.session, user.id or 0, Door.PIN.value)
        desk.note_down("removed the PIN of", "user", user.id)


def refuse_weak(pin: str) -> None:
    """Raise BadInput for what is no PIN, or one of those that somebody tries first: one digit over and over,
    a run, a part repeated, a year, a line on the number pad.
    """
    if not (pin.isascii() and pin.isdecimal() and SHORTEST_PIN <= len(pin) <= LONGEST_PIN):
        said = f"{SHORTEST_PIN} to {LONGEST_PIN} digits"
        raise BadInput(f"A PIN has {said}.", fields={"pin": said})
    if is_easily_guessed(pin):
        raise BadInput(
            "That PIN is among those that people try first. Choose digits without a pattern.",
            fields={"pin": "easily guessed"},
        )


def is_easily_guessed(pin: str) -> bool:
    runs = any(pin in run for run in _RUNS)
    repeats = any(pin == pin[:part] * (len(pin) // part) for part in range(1, len(pin) // 2 + 1))
    mirrors = len(pin) == SHORTEST_PIN and pin == pin[::-1]
    year = len(pin) == SHORTEST_PIN and pin[:2] in {"19", "20"}
    return runs or repeats or mirrors or year or pin in _LINES
