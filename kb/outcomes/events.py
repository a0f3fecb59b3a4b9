"""The event of one reflash, free of any window, and counts of events read by the window of a report.

A shop keeps the event with the reflash; a report then needs equal events only as counts.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from kb.nouns.outcomes import ReflashOutcome, Standing, WindowRule
from kb.outcomes.observe import UPDATED_AGAIN, observe
from kb.outcomes.tally import FAILURES, Ints, Tally, tally_rows

UNLIMITED = WindowRule(days=10**7, miles=10**9, usual_gaps=0)
WAITING, NOT_KNOWN = Standing.IN_WINDOW, Standing.NOT_KNOWN


@dataclass(frozen=True, slots=True)
class Event:
    """What is known of one reflash by all that was ever heard.

    `kind`: a failure, ENDED, IN_WINDOW (free of the concern when last seen) or NOT_KNOWN; `day`: of the
    failure, the end or the last sighting, from the reflash. `heard_on`: the last day of which anything is
    known. `alone`: miles or the usual gap of an intermittent bear on its window, the day of a failure is
    not known, or it was updated again; no count stands for it.
    """

    kind: Standing
    day: int
    heard_on: date
    alone: bool


def event_of(outcome: ReflashOutcome) -> Event:
    """The first failure, else the end, else the last sighting, whatever the window."""
    seen = observe(replace(outcome, usual_gap_days=None, odometer=None), UNLIMITED, date.max)
    days = [outcome.reflashed_on, *(each.seen_on for each in outcome.follow_ups)]
    if outcome.superseded_on is not None:
        days.append(outcome.superseded_on)
    by_miles = outcome.odometer is not None and any(f.odometer is not None for f in outcome.follow_ups)
    day_not_known = any(not each.day_known for each in outcome.follow_ups)
    ends = seen.reason == UPDATED_AGAIN
    alone = by_miles or outcome.usual_gap_days is not None or day_not_known or ends
    return Event(seen.standing, seen.day, max(days), alone)


def tally_of_events(table: Ints, window_days: int, as_of: date) -> Tally:
    """Rows of (update, month, kind, day, day number of the reflash, other work, count) as the report counts.

    The day number matters only where the window may still be open: an age bears on silence and on delays.
    Every fact of a row was known on `as_of`.
    """
    update, month, kind, day, start, other_work, count = table.reshape(-1, 7).T
    age = np.clip(as_of.toordinal() - start, 0, window_days)
    waits, unknown = kind == WAITING, kind == NOT_KNOWN
    failed = np.isin(kind, FAILURES) & (day <= window_days)
    followed = ~failed & ~unknown & ((day >= window_days) | np.isin(kind, FAILURES))
    standing = np.where(waits & (age >= window_days), Standing.OVERDUE, kind)
    standing = np.where(followed, Standing.FOLLOWED_TO_WINDOW, standing)
    known = np.where(unknown, 0, np.minimum(day, window_days))
    aging = (waits & ~followed) | unknown | failed
    silent = np.where(aging, np.maximum(age, known), known)
    rows = np.column_stack([update, month, known, silent, standing, other_work, count])
    return tally_rows(rows, window_days)
