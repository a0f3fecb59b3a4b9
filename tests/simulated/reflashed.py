"""What the chances that the demo states make of a rate of cures among reflashed vehicles."""

from __future__ import annotations

from math import exp

from demo_data.truth import (
    DELAY_SCALE_DAYS,
    DELAY_SHAPE,
    DIAGNOSIS_FINDS,
    ROAD_TEST_SHOWS,
    WINDOW_DAYS,
    UpdateTruth,
)

REFLASHES: dict[str, int] = {
    "Vell-15": 8,
    "Vell-22": 54,
    "Vell-41": 22,
    "Skerra-07": 38,
    "Orsel-31": 65,
    "Orsel-33": 24,
    "Orsel-38": 20,
    "Orsel-26": 32,
    "Brell-88": 39,
    "Brell-104": 3,
    "Brell-97": 31,
    "Hespar-12": 29,
    "Hespar-15": 34,
    "Hespar-17": 29,
    "Hespar-20": 24,
    "Hespar-21": 21,
}
"""About how many vehicles each update goes into in two years, for draws without a whole story."""


def cures_reflashed(truth: UpdateTruth, days_ago: int = 0) -> float:
    """The true chance of cure among vehicles reflashed: p / (p + (1 - p) b), with b the chance that a concern
    which the update does not cure is reflashed all the same.
    """
    p = truth.cures_on(days_ago)
    all_the_same = truth.reflash_first + (1 - truth.reflash_first) * (1 - DIAGNOSIS_FINDS)
    return p / (p + (1 - p) * all_the_same)


def cured_in_window(truth: UpdateTruth, days_ago: int = 0) -> float:
    """What a cure rate at the window estimates: a comeback after it goes unseen.

    For concerns duplicated before the reflash, without other work, followed independently of outcome.
    """
    failing = 1 - cures_reflashed(truth, days_ago)
    return 1 - failing * (1 - (1 - ROAD_TEST_SHOWS) * (1 - comeback_by(WINDOW_DAYS)))


def comeback_by(days: float) -> float:
    """Share of comebacks that came within so many days: 1 - exp(-(days / scale) ** shape)."""
    return 1 - exp(-((days / DELAY_SCALE_DAYS) ** DELAY_SHAPE))
