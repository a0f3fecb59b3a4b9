"""What the next shift finds in the invented shop: clocks that run, what is next, what waits, what is out."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import timedelta
from typing import Any

from demo_data.loading import Loading
from demo_data.story import ClockStarted, GoesOut, NextSaid, Waits
from kb.desk.bay.handover import clocks, next_up, waiting
from kb.desk.bay.programming import programming, sent_out
from kb.desk.context import Desk
from kb.nouns.bay.sent_out import SentBackDraft, SentOutDraft, SentOutResult
from kb.nouns.bay.waiting import WaitingFor
from kb.nouns.concerns import ProgrammingEventDraft

SENT_TO, ASKED_MINOR = "Mobile programming, north side", 17_500


def _clock_started(desk: Desk, what: ClockStarted, loading: Loading) -> None:
    begun = loading.now - timedelta(hours=what.hours_ago)
    clocks.start_clock(replace(desk, now=begun), loading.concerns[what.concern], what.asked)


def _next_said(desk: Desk, what: NextSaid, loading: Loading) -> None:
    next_up.say_next(desk, loading.concerns[what.concern], what.next_what, what.who)


def _waits(desk: Desk, what: Waits, loading: Loading) -> None:
    waiting.wait_for(desk, loading.concerns[what.concern], WaitingFor(what.waiting_for), what.remark)


def _goes_out(desk: Desk, what: GoesOut, loading: Loading) -> None:
    sent_out.send_out(desk, loading.concerns[what.concern], what.draft)


def came_back(desk: Desk, draft: ProgrammingEventDraft) -> None:
    """Sent out and back on one day, with the invoice; then the road test, as of our own."""
    first = draft.modules[0].concern_ids[0]
    to = SentOutDraft(
        draft.way, draft.modules[0].module, sent_to=SENT_TO, told_price_minor=ASKED_MINOR, why_not="sent out"
    )
    sent_out.send_out(desk, first, to)
    back = SentBackDraft(
        SentOutResult.PROGRAMMED,
        draft.performed_on,
        draft.modules,
        "programmed as printed, relearns done",
        ASKED_MINOR,
        f"N-{1000 + first}",
        duplicated_before=draft.duplicated_before,
    )
    sent_out.tell_result(desk, first, back)
    for concern in dict.fromkeys(one for module in draft.modules for one in module.concern_ids):
        programming.record_road_test(desk, concern, draft.road_test)


RECORD: Mapping[type[Any], Callable[[Desk, Any, Loading], None]] = {
    ClockStarted: _clock_started,
    NextSaid: _next_said,
    Waits: _waits,
    GoesOut: _goes_out,
}
