"""Three calls a morning: whom to ask today, with one tap each."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, time
from zoneinfo import ZoneInfo

from kb.desk import followups
from kb.desk.context import Desk, anyone_in_the_shop
from kb.desk.followups import DueFollowUp
from kb.desk.whom_to_call import CALLS_A_DAY, whom_to_call
from kb.records.store import hearing as store


@dataclass(frozen=True, slots=True)
class Morning:
    """The calls that are left of today's three, and how many somebody in the shop made."""

    calls: tuple[DueFollowUp, ...]
    made: int


@anyone_in_the_shop
def calls_this_morning(desk: Desk) -> Morning:
    """Promised calls first, then those drawn at random of the update where an answer tells most, then the
    order of the call list; who has a phone on file before who has none. Whom somebody tried today is left
    for another day; who is here is asked here.
    """
    made = _made_today(desk)
    left = max(CALLS_A_DAY - made, 0)
    if not left or not followups.how_many_due(desk):
        return Morning((), made)
    waiting = [one for one in followups.due(desk) if one.why != "visit" and one.tried_on != desk.today]
    drawn = whom_to_call(desk)
    first = [one for one in waiting if one.why == "promise"]
    chosen = {one.concern_id: one for one in (*first, *(drawn.calls if drawn else ()), *waiting)}
    to_call = [one for one in chosen.values() if one.tried_on != desk.today]
    to_call.sort(key=lambda one: (one.why != "promise", not one.phone))
    return Morning(tuple(to_call[:left]), made)


def _made_today(desk: Desk) -> int:
    morning = datetime.combine(desk.today, time.min, tzinfo=ZoneInfo(desk.shop.timezone))
    return store.calls_made(desk.session, desk.shop.id, morning)
