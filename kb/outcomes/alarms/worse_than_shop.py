"""Worse than the shop: an update with more comebacks than bad luck explains, told as soon as it shows."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

import numpy as np

from kb.nouns.days import day_words
from kb.nouns.review.alarms import Alarm, AlarmKind
from kb.outcomes.alarms.alarm_limits import Luck, alarm_limit, as_busy, due, limit_if_passed, luck_of
from kb.outcomes.alarms.replays import highest
from kb.outcomes.alarms.sightings import Sightings
from kb.outcomes.alarms.suspicion import Histories, cusum, daily_changes, suspicion
from kb.outcomes.shrinkage import cannot_tell_yet
from kb.outcomes.silence import Silence
from kb.outcomes.survival import kaplan_meier
from kb.outcomes.tally import DayCounts, Flags, Floats


def watch(
    sightings: Mapping[int, Sightings],
    as_of: date,
    silence: Silence,
    acknowledged: Mapping[int, date] | None = None,
) -> dict[int, Alarm]:
    """Alarms by update id, each update against the shop without it.

    Every vehicle counts by the share of failures that would be known at its age (v at mean h), on both sides
    and in the replays alike. There is no alarm before ten vehicles of the other updates were followed to the
    window, nor where silence left unknown would turn it round, with the update no worse than the others.
    After `acknowledged` an update is watched anew from the next day on.

    How often one is false: HOW_OFTEN_FALSE of kb.nouns.review.alarms; the limit is made for updates that
    cure alike.
    """
    if not sightings:
        return {}
    since = acknowledged or {}
    known, shown = Others(sightings), silence.known_unseen()
    known_of = {update: due(seen, shown) for update, seen in sightings.items()}
    failed, exposed = np.sum(list(known_of.values()), axis=0)
    alarms = {}
    for update, seen in sightings.items():
        others = known.without(update)
        if cannot_tell_yet(others) or not _worse(known.of(update), others):
            continue
        own = known_of[update]
        luck = luck_of(failed - own[0], exposed - own[1], shown)
        alarm = _alarm(seen, luck, as_of, since.get(update))
        if alarm is not None:
            alarms[update] = alarm
    return alarms


class Others:
    """Day counts of each update and of the shop without it, as known."""

    def __init__(self, sightings: Mapping[int, Sightings]) -> None:
        self._own = {u: seen.day_counts() for u, seen in sightings.items()}
        self._failed = np.sum([each.failed for each in self._own.values()], axis=0)
        self._free = np.sum([each.free for each in self._own.values()], axis=0)

    def of(self, update: int) -> DayCounts:
        return self._own[update]

    def without(self, update: int) -> DayCounts:
        own = self._own[update]
        return DayCounts(self._failed - own.failed, self._free - own.free)


def _worse(own: DayCounts, others: DayCounts) -> bool:
    return bool(kaplan_meier(own).at_window < kaplan_meier(others).at_window)


def _alarm(seen: Sightings, luck: Luck, as_of: date, after: date | None) -> Alarm | None:
    """The first day on which the watch passes its limit, if it has by `as_of`."""
    first = int(seen.start.min()) if after is None else after.toordinal() + 1
    days = as_of.toordinal() - first + 1
    if days < 1:
        return None
    vehicles = Histories(seen.start, seen.failed_on, seen.silent_to)
    path = cusum(daily_changes(vehicles, suspicion(luck.not_cured, luck.shown), first, days))
    limit = limit_if_passed(float(path.max()), seen, luck, highest, _busy_limit)
    if limit is None:
        return None
    over = np.flatnonzero(path > limit)
    since = date.fromordinal(first + int(over[0]))
    return Alarm(AlarmKind.SHOP, since, _sentence(seen, luck, since, after))


def _busy_limit(seen: Sightings, luck: Luck) -> float:
    """Busy updates share theirs, worked out once in full."""
    return alarm_limit(as_busy(seen, luck), highest)


def _expected(seen: Sightings, luck: Luck, counted: Flags, begin: int, day: int) -> Floats:
    """Each counted vehicle's chance to fail from `begin` to `day` by the shop's luck, not having so far."""
    start, open_to = seen.start[counted], seen.open_to[counted]
    shown = np.concatenate([[0.0], luck.not_cured * luck.shown])
    so_far = shown[np.minimum(begin - 1 - start, open_to).clip(-1) + 1]
    by_then = shown[np.minimum(day - start, open_to) + 1]
    value: Floats = (by_then - so_far) / (1.0 - so_far)
    return value


def _sentence(seen: Sightings, luck: Luck, since: date, after: date | None) -> str:
    """In words, with what had happened by the day of the alarm."""
    begin, day = 0 if after is None else after.toordinal() + 1, since.toordinal()
    fell = seen.start + seen.failed_on
    failing = seen.failed_on >= 0
    counted = (seen.start <= day) & (seen.start + seen.open_to >= begin) & ~(failing & (fell < begin))
    failed = int(np.sum(failing & counted & (fell >= begin) & (fell <= day)))
    expected = float(_expected(seen, luck, counted, begin, day).sum())
    return (
        f"Worse than the shop: by {day_words(since)}, {failed} of "
        f"{int(counted.sum())} were known not to be cured, where about {expected:.0f} would be usual in this "
        "shop; the others were cured, waiting or not asked."
    )
