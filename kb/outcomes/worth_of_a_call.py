"""What calls told so far, and whom to call next: the update whose interval one answer narrows most."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from kb.nouns.outcomes import Standing
from kb.nouns.review.reflash_report import ToldUnasked
from kb.outcomes.failure_delays import past_window
from kb.outcomes.shrinkage import CureChances, heard_of
from kb.outcomes.silence import Silence, silent_counts
from kb.outcomes.tally import Floats, Ints, Tally, updates_of
from kb.outcomes.told_unasked import Calls
from kb.outcomes.updates_in_general import HyperPrior

SURE = 1.0 - 1e-9


@dataclass(frozen=True, slots=True)
class CallWorth:
    """What a call is worth of an update with vehicles `silent` past their window: by how much one answer
    `narrows` its interval on average.
    """

    silent: int
    narrows: float


def told_unasked(counts: Tally, calls: Calls, silence: Silence) -> ToldUnasked:
    """What is believed of h, and the calls that it rests on."""
    followed, silent = past_window(counts)
    reached = followed + calls.found
    told = silence.told
    known = (calls.unasked, calls.found, reached, reached + silent)
    return ToldUnasked(silence.mean_told, float(told.min()), float(told.max()), *known)


def call_worths(counts: Tally, silence: Silence, prior: HyperPrior, level: float) -> dict[int, CallWorth]:
    """Of every update with a vehicle silent past its window, from all reflashes of the shop.

    At the mean share told unasked alone: its range widens every interval and is narrowed by no one answer.
    """
    updates = updates_of(counts)
    if not updates.size:
        return {}
    own = silent_counts(counts, updates)
    at_mean = replace(silence, told=np.array([silence.mean_told]))
    chances = heard_of(own, own, np.arange(updates.size), at_mean, prior)
    silent, seen = _silent(counts, updates)
    known = np.bincount(
        np.repeat(np.arange(updates.size), silent),
        weights=silence.known_by(seen, counts.window_days, silence.mean_told),
        minlength=updates.size,
    ) / np.maximum(silent, 1)
    narrows = narrowing(chances, known, level)
    return {
        update: CallWorth(int(silent[i]), float(narrows[i]))
        for i, update in enumerate(updates.tolist())
        if silent[i]
    }


def narrowing(chances: CureChances, known: Floats, level: float) -> Floats:
    """Width of each update's interval now less the width expected after one answer. (updates,)

    `known` is v, the chance that a failure of the vehicle to be called would have been told already. If the
    update cures with chance p, a silent vehicle has a bad answer with chance

        (1 - p)(1 - v) / (1 - (1 - p) v)

    and a good one otherwise. Each answer gives a belief with a width of its own; they are weighed by how
    likely they are (preposterior analysis: Raiffa & Schlaifer 1961, Applied Statistical Decision Theory, from
    memory). What other updates say, and what is believed of h, stay as they are: one answer hardly moves
    them. Below 0 where a bad answer would mostly raise doubts.
    """
    cured = (chances.edges[:-1] + chances.edges[1:]) / 2.0
    unheard = np.outer(1.0 - np.minimum(known, SURE), 1.0 - cured)
    good = chances.mass * cured / (cured + unheard)
    bad = chances.mass - good
    wide = [CureChances(chances.edges, answer) for answer in (chances.mass, good, np.maximum(bad, 1e-300))]
    now, after_good, after_bad = (np.subtract(*one.interval(level)[::-1]) for one in wide)
    narrower: Floats = now - (good.sum(axis=1) * after_good + bad.sum(axis=1) * after_bad)
    return narrower


def sample_of_day(ids: Iterable[int], day: date, size: int) -> list[int]:
    """As many of the ids, drawn at random for that day: the same whenever it is asked for.

    Each id draws a number of its own, and the lowest ones are taken: who is answered for leaves the sample,
    and the others stay in it.
    """
    return sorted(ids, key=lambda one: hashlib.sha256(f"{day.isoformat()}:{one}".encode()).digest())[:size]


def _silent(counts: Tally, updates: Ints) -> tuple[Ints, Ints]:
    """Vehicles silent past their window by update, and the day each was last seen, in that order."""
    which = (counts.standing == Standing.OVERDUE) & (counts.other_work == 0)
    row = np.searchsorted(updates, counts.update[which])
    order = np.argsort(row, kind="stable")
    many = counts.count[which]
    silent = np.bincount(row, weights=many, minlength=updates.size).astype(np.int64)
    return silent, np.repeat(counts.day[which][order], many[order])
