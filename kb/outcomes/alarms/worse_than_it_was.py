"""Worse than it was: an update whose cure chance has fallen against its own past."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from datetime import date

import numpy as np

from kb.nouns.days import day_words
from kb.nouns.review.alarms import Alarm, AlarmKind
from kb.outcomes.alarms.alarm_limits import Luck, due, limit_if_passed, luck_of
from kb.outcomes.alarms.change_point import Failed, after, evidence, highest, odds
from kb.outcomes.alarms.sightings import Sightings
from kb.outcomes.shrinkage import cannot_tell_yet
from kb.outcomes.silence import Silence
from kb.outcomes.survival import kaplan_meier
from kb.outcomes.tally import DayCounts, Flags, Floats, Ints

NEWEST = 200
"""Reflashes of an update that are its past; older ones say little of today."""
BUSY_RATES, BUSY_LIMITS = (0.03, 0.06, 0.125, 0.25, 0.5, 0.8), (2.8, 3.6, 5.2, 5.4, 6.1, 6.9)
"""Limits of an update with more than OWN_DATES_TO reflashes, by its pooled chance not cured.

Those of replays of 100 even reflashes, one in .3 to 12 days, whose failures show early or late, lie so near
to each other that the highest stands for all: made anew they would cost the review of a busy shop seconds.
"""


@dataclass(frozen=True, slots=True)
class Course:
    """Vehicles in order of reflash, the days on which failures became known, and what each day spoke for."""

    seen: Sightings
    failed: Failed
    days: Ints
    exposed: Floats
    evidence: Floats

    def since(self, limit: float) -> int:
        """The first column of `days` on which the evidence lies above the limit."""
        return int(self.failed.column[0][self.evidence > limit].min())

    def began(self, column: int) -> int:
        """Day number of the reflash with which the change most likely began, as known on that day."""
        shows = int(np.flatnonzero(self.failed.column[0] == column)[0])
        begins = int(odds(self.failed, self.exposed)[0, :, shows].argmax())
        return int(self.seen.start[self.failed.first[0, begins]])


def worse_than_it_was(
    sightings: Mapping[int, Sightings],
    as_of: date,
    silence: Silence,
    acknowledged: Mapping[int, date] | None = None,
) -> dict[int, Alarm]:
    """Alarms by update id, each update against its own earlier reflashes; the shop has no part in it.

    Every vehicle counts by the share of failures that would be known at its age (v at mean h). So it does in
    the replays, which go by the update's own pooled rate.

    | no alarm                                           | reason                                  |
    |----------------------------------------------------|-----------------------------------------|
    | before ten of the shop were followed to the window | nothing is known yet                    |
    | where silence left unknown turns it round          | whoever has begun to call hears of more |
    | of reflashes before `acknowledged`                 | it was answered; the past begins anew   |

    How often one is false: HOW_OFTEN_FALSE of kb.nouns.review.alarms. With the shop's delays and h known, not
    estimated from its own few failures, tests.bench.drift found half as many again between two.
    """
    if not sightings or cannot_tell_yet(_all(sightings)):
        return {}
    since, shown = acknowledged or {}, silence.known_unseen()
    found = {update: _alarm(seen, shown, as_of, since.get(update)) for update, seen in sightings.items()}
    return {update: alarm for update, alarm in found.items() if alarm is not None}


def _all(sightings: Mapping[int, Sightings]) -> DayCounts:
    each = [seen.day_counts() for seen in sightings.values()]
    return DayCounts(np.array([one.failed for one in each]), np.array([one.free for one in each]))


def _alarm(seen: Sightings, shown: Floats, as_of: date, after_day: date | None) -> Alarm | None:
    order = np.argsort(seen.start, kind="stable")
    newer = order[seen.start[order] > (0 if after_day is None else after_day.toordinal())]
    course = course_of(_part(seen, newer[-NEWEST:]), shown, as_of)
    own = course.seen
    peak, luck = float(course.evidence.max(initial=0.0)), luck_of(*due(own, shown), shown)
    limit = limit_if_passed(peak, own, luck, highest, _busy_limit)
    if limit is None:
        return None
    column = course.since(limit)
    began = course.began(column)
    late = own.start >= began
    earlier, later = (kaplan_meier(_part(own, some).day_counts()).at_window for some in (~late, late))
    if later >= earlier:
        return None
    day = int(course.days[column])
    return Alarm(AlarmKind.PAST, date.fromordinal(day), _sentence(own, began, day))


def _busy_limit(_seen: Sightings, luck: Luck) -> float:
    return float(np.interp(luck.not_cured, BUSY_RATES, BUSY_LIMITS))


def course_of(seen: Sightings, shown: Floats, as_of: date) -> Course:
    """The evidence of these vehicles, in order of reflash, on each day to `as_of` that told of a failure."""
    fell = seen.start + seen.failed_on
    which = np.flatnonzero((seen.failed_on >= 0) & (fell <= as_of.toordinal()))
    days, column = np.unique(fell[which], return_inverse=True)
    first = np.searchsorted(seen.start, seen.start[which])
    failed = Failed(first[None], column[None], np.ones((1, which.size), dtype=bool))
    exposed = after(seen.start, seen.open_to, shown, days)
    return Course(seen, failed, days, exposed, evidence(failed, exposed)[0])


def _part(seen: Sightings, which: Flags | Ints) -> Sightings:
    columns = {one.name: getattr(seen, one.name)[which] for one in fields(seen) if one.name != "window_days"}
    return replace(seen, **columns)


def _sentence(seen: Sightings, began: int, day: int) -> str:
    """In words, with what had happened by the day of the alarm."""
    known = (seen.failed_on >= 0) & (seen.start + seen.failed_on <= day)
    late = (seen.start >= began) & (seen.start <= day)
    early = seen.start < began
    told, turned = date.fromordinal(day), date.fromordinal(began)
    return (
        f"Worse than it was: of {int(late.sum())} reflashed since {day_words(turned)}, "
        f"{int((known & late).sum())} were known by {day_words(told)} not to be cured; "
        f"of the {int(early.sum())} before, {int((known & early).sum())}. "
        "The others were cured, waiting or not asked."
    )
