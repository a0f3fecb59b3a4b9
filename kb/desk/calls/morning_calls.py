"""Three calls a morning: whom to ask today, with one tap each."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.advice.update_names import counted_names
from kb.desk.calls import call_list
from kb.desk.calls.call_list import DueFollowUp
from kb.desk.calls.to_ask import to_ask
from kb.desk.calls.whom_to_call import CALLS_A_DAY, whom_to_call
from kb.desk.context import Desk, anyone_in_the_shop
from kb.records.store.bay import hearing as store
from kb.records.store.outcomes import outcomes as outcome_store

ON_THE_BOARD = 25
"""More than are called, since some do not answer."""


@dataclass(frozen=True, slots=True)
class Morning:
    """The calls that are left of today's three, how many somebody in the shop made, and how many vehicles
    there are to ask in all.
    """

    calls: tuple[DueFollowUp, ...]
    made: int
    due: int


@dataclass(frozen=True, slots=True)
class _Rests:
    """What a board rests on: the revision of concerns, and all else."""

    others: tuple[Any, ...]
    concerns: int


@dataclass(frozen=True, slots=True)
class _Board:
    due: int
    calls: tuple[DueFollowUp, ...]


@anyone_in_the_shop
def calls_this_morning(desk: Desk) -> Morning:
    """Whom to ask today, in order.

    Promised calls come first, all of them, then up to the three those drawn at random of the update where an
    answer tells most, then the order of the call list; among those, who has a phone on file. Whom somebody
    called today is left for another day, and who is here is asked here.
    """
    called = store.called_since(desk.session, desk.shop.id, desk.morning)
    left = max(CALLS_A_DAY - len(called), 0)
    board = _board(desk)
    calls = [one for one in board.calls if one.concern_id not in called]
    promised = sum(one.why == "promise" for one in calls)
    return Morning(tuple(calls[: max(left, promised)]), len(called), board.due)


def _board(desk: Desk) -> _Board:
    """Remembered until something is heard or somebody comes in who was reflashed here; a call in vain changes
    nothing of it.
    """
    notes = updates_desk.on_file(desk), tuple(counted_names(desk).items())
    *others, concerns = desk.up_to("outcomes", "settings", "concerns")
    key = _Rests((desk.today, *notes, *others), concerns)
    return desk.memory.renew("calls of the morning", key, lambda then, held: _renewed(desk, key, then, held))


def _renewed(desk: Desk, now: _Rests, then: Any, held: _Board | None) -> _Board:
    stands = (
        held is not None
        and then.others == now.others
        and outcome_store.only_never_reflashed(desk.session, desk.shop.id, then.concerns, now.concerns)
    )
    return held if held is not None and stands else _put_on_board(desk)


def _put_on_board(desk: Desk) -> _Board:
    every = to_ask(desk)
    drawn = whom_to_call(desk) if every else None
    promised = [one for one in every if one.why == "promise"]
    others = [one for one in every if one.why == "window"][:ON_THE_BOARD]
    first, last = call_list.shown(desk, promised), call_list.shown(desk, others)
    chosen = {one.concern_id: one for one in (*first, *(drawn.calls if drawn else ()), *last)}
    calls = sorted(chosen.values(), key=lambda one: (one.why != "promise", not one.phone))
    return _Board(len(every), tuple(calls))
