"""Which silent vehicles to call: a few drawn at random for the day, of the update where answers tell most."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta

from kb.desk import settings as settings_desk
from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.advice.update_names import names_of
from kb.desk.bay.outcomes import counted as counted_desk
from kb.desk.calls import call_list
from kb.desk.calls.call_list import DueFollowUp
from kb.desk.calls.to_ask import Asked, to_ask
from kb.desk.context import Desk, anyone_in_the_shop
from kb.nouns.outcomes import INTERVAL_LEVEL, NO_UPDATE
from kb.outcomes.worth_of_a_call import CallWorth, call_worths, sample_of_day

CALLS_A_DAY = 3
MOST_TRIED = 5
"""Updates that are looked through for a vehicle on the call list, those first where a call tells most."""


@dataclass(frozen=True, slots=True)
class WhomToCall:
    """Vehicles of one update to call today, and what a call is worth of it.

    `number` and `title` are the update's; `due` counts its vehicles that are silent and in its rate.
    """

    update: int
    number: str
    title: str
    due: int
    worth: CallWorth
    calls: tuple[DueFollowUp, ...]


@anyone_in_the_shop
def whom_to_call(desk: Desk, update_id: int | None = None) -> WhomToCall | None:
    """Of one update, else of the one whose interval one answer narrows most. None where nobody is silent.

    Drawn first among those whom nobody has tried and whose window closed within the last one: who was here
    lately answers best, and drawn vehicles tell of the silent ones what picked ones cannot.
    """
    worths = _worths(desk)
    best = sorted(worths, key=lambda one: (-worths[one].narrows, one))[:MOST_TRIED]
    for update in best if update_id is None else worths.keys() & {update_id}:
        waiting = _waiting(desk, update)
        if waiting:
            names = names_of(desk, [update])[update]
            return WhomToCall(update, *names, len(waiting), worths[update], _drawn(desk, waiting))
    return None


def _waiting(desk: Desk, update: int) -> Sequence[Asked]:
    """Its vehicles to ask about because their window has closed. Those with other work in the same visit are
    asked too, but are in no rate: no answer of theirs narrows it.
    """
    updates = updates_desk.on_file(desk).counting_for(update)
    alone = (one for one in to_ask(desk) if one.why == "window" and not one.outcome.other_work)
    return [one for one in alone if one.outcome.update_id in updates]


def _drawn(desk: Desk, waiting: Sequence[Asked]) -> tuple[DueFollowUp, ...]:
    by_concern = {one.outcome.concern_id: one for one in waiting}
    asked = {at: one.question for at, one in by_concern.items()}
    closed_since = desk.today - timedelta(days=settings_desk.current(desk).window_days)
    untried = {at for at, question in asked.items() if question.tried_on is None}
    recent = {at for at in untried if asked[at].due_on >= closed_since}
    groups = (recent, untried - recent, asked.keys() - untried)
    drawn = [one for some in groups for one in sample_of_day(some, desk.today, CALLS_A_DAY)]
    return call_list.shown(desk, [by_concern[one] for one in drawn[:CALLS_A_DAY]])


def _worths(desk: Desk) -> Mapping[int, CallWorth]:
    """What a call is worth of each update; remembered until something that it rests on changes."""
    key = (desk.today, updates_desk.on_file(desk), *desk.up_to("outcomes", "settings"))
    return desk.memory.recall("what calls are worth", key, lambda: _weigh(desk))


def _weigh(desk: Desk) -> Mapping[int, CallWorth]:
    found = counted_desk.count(desk, desk.today)
    worths = call_worths(found.counts, found.silence, settings_desk.current(desk).prior(), INTERVAL_LEVEL)
    return {update: worth for update, worth in worths.items() if update != NO_UPDATE}
