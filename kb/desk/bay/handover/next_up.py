"""What is next on a concern and who does it: one line for whoever comes after."""

from __future__ import annotations

from kb.desk.bay.concern import concerns as concerns_desk
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import BadInput
from kb.nouns.bay.next_up import LONGEST_WHAT, LONGEST_WHO, NextUp
from kb.records.store.bay import writing


@anyone_in_the_shop
def say_next(desk: Desk, concern_id: int, what: str, who: str = "") -> None:
    """Say it in place of what was said before; without `what` nothing is said any more.

    Raises Conflict for a closed concern, BadInput for more than a line.
    """
    held = concerns_desk.still_open(desk, concern_id, "anything is next on it")
    what, who = " ".join(what.split()), " ".join(who.split())
    for name, said, most in (("what", what, LONGEST_WHAT), ("who", who, LONGEST_WHO)):
        if len(said) > most:
            raise BadInput(f"One line: at most {most} characters.", fields={name: f"at most {most}"})
    held.concern.sqlmodel_update(
        writing.comes_next(NextUp(what, who, desk.actor.name, desk.now) if what else None)
    )
    desk.session.flush()
    desk.note_down("next", "concern", concern_id, what=what, next_who=who)
