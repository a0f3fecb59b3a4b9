"""How many failures a shop hears of without asking: h, known from its calls alone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

import numpy as np
from scipy import special

from kb.nouns.concerns import HowHeard
from kb.nouns.outcomes import Observation, Standing
from kb.outcomes.tally import Floats

POINTS = 5
PRIOR = (4.0, 1.0)
"""Beta(4, 1) before any call: of failures 4 in 5 are told unasked (design, section 6)."""
CELLS = 2000


@dataclass(frozen=True, slots=True)
class Calls:
    """What calls found of vehicles old enough to be called.

    Comebacks were told `unasked` or `found` on asking; those of which nobody wrote how they were heard are in
    neither. `reached` is the share of the silent ones that somebody spoke to. `lags` are of comebacks told by
    themselves: days from their day to that of hearing, days it could have been by now, and how many such.
    """

    unasked: int = 0
    found: int = 0
    reached: float = 0.0
    lags: tuple[tuple[int, int, int], ...] = ()


def comebacks_heard(seen: Iterable[Observation], as_of: date, window_days: int) -> Counter[HowHeard]:
    """Of vehicles past their window, comebacks by how they were heard: each by what told of it first."""
    return Counter(
        one.heard
        for one in seen
        if one.standing is Standing.COMEBACK
        and (as_of - one.reflashed_on).days >= window_days
        and not one.other_work
    )


def told_points(calls: Calls) -> Floats:
    """Five values of h, each as likely as the others: the means of the fifths of what is believed of h.

    The calls are a sample of those who said nothing (two-phase sampling of non-respondents: Hansen & Hurwitz
    1946, JASA 41:517-529), so for each failure found 1/r are there. A failure on file was told unasked with
    chance h / (h + (1 - h) r) and found with the rest. Silence does not move h: a quiet shop may cure much or
    hear little, and its silence cannot tell which.
    """
    h = (np.arange(CELLS) + 0.5) / CELLS
    log_mass = special.xlogy(PRIOR[0] - 1.0, h) + special.xlog1py(PRIOR[1] - 1.0, -h) - special.betaln(*PRIOR)
    if calls.reached > 0.0:
        missed = (1.0 - h) * calls.reached
        known = np.log(h + missed)
        log_mass = log_mass + calls.unasked * (np.log(h) - known) + calls.found * (np.log(missed) - known)
    mass = np.exp(log_mass - log_mass.max())
    edges = np.concatenate([[0.0], np.cumsum(mass / mass.sum())])
    ends = np.linspace(0.0, 1.0, CELLS + 1)
    below = np.concatenate([[0.0], np.cumsum(h * mass / mass.sum())])
    cuts = np.interp(np.linspace(0.0, 1.0, POINTS + 1), edges, ends)
    fifths: Floats = np.diff(np.interp(cuts, ends, below)) * POINTS
    return fifths
