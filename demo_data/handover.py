"""What the next shift finds in the invented shop: clocks that run, what is next, what waits."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import timedelta
from typing import Any

from demo_data.loading import Loading
from demo_data.story import ClockStarted, NextSaid, Waits
from kb.desk.bay.handover import clocks, next_up, waiting
from kb.desk.context import Desk
from kb.nouns.bay.waiting import WaitingFor


def _clock_started(desk: Desk, what: ClockStarted, loading: Loading) -> None:
    begun = loading.now - timedelta(hours=what.hours_ago)
    clocks.start_clock(replace(desk, now=begun), loading.concerns[what.concern], what.asked)


def _next_said(desk: Desk, what: NextSaid, loading: Loading) -> None:
    next_up.say_next(desk, loading.concerns[what.concern], what.next_what, what.who)


def _waits(desk: Desk, what: Waits, loading: Loading) -> None:
    waiting.wait_for(desk, loading.concerns[what.concern], WaitingFor(what.waiting_for), what.remark)


RECORD: Mapping[type[Any], Callable[[Desk, Any, Loading], None]] = {
    ClockStarted: _clock_started,
    NextSaid: _next_said,
    Waits: _waits,
}
