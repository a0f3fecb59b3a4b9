"""Fast draws of what the shop would see of each update, for experiments over many seeds."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from demo_data.truth import (
    CAME_BY_ITSELF,
    DELAY_SCALE_DAYS,
    DELAY_SHAPE,
    ROAD_TEST_SHOWS,
    SEEN_ONCE,
    SILENT,
    UPDATES,
    WINDOW_DAYS,
)
from tests.simulated.reflashed import REFLASHES, cured_in_window, cures_reflashed


@dataclass(frozen=True, slots=True)
class Outcomes:
    """One update's reflashes as observed: `days` (0 to the window) and `failed`, one entry a vehicle.

    Failed: the day of the failed road test (0) or of the comeback, which came `unasked` or was found on
    asking. Not failed: the last day seen.
    `true_rate` is the share cured at the window that made them.
    """

    update: str
    days: NDArray[np.int64]
    failed: NDArray[np.bool_]
    unasked: NDArray[np.bool_]
    true_rate: float


def draw_outcomes(seed: int, silent: float = SILENT, seen_once: float = SEEN_ONCE) -> tuple[Outcomes, ...]:
    """Every update's outcomes in a shop of the demo's size, followed independently of the outcome.

    A drifting update is drawn at its first chance throughout. All concerns were duplicated before, no
    other work was done and every window is over; `silent=0, seen_once=0` follows every vehicle to the
    window's end.
    """
    rng = np.random.default_rng(seed)
    return tuple(_draw(name, count, rng, silent, seen_once) for name, count in REFLASHES.items())


def _draw(name: str, count: int, rng: np.random.Generator, silent: float, seen_once: float) -> Outcomes:
    truth = UPDATES[name]
    days_ago = max(truth.changes_days_ago, 0)
    fails = rng.random(count) >= cures_reflashed(truth, days_ago)
    at_road_test = fails & (rng.random(count) < ROAD_TEST_SHOWS)
    delay = np.ceil(DELAY_SCALE_DAYS * rng.weibull(DELAY_SHAPE, count)).astype(np.int64)
    back = np.where(at_road_test, 0, np.where(fails, np.maximum(delay, 1), WINDOW_DAYS + 1))
    draw = rng.random(count)
    until = np.where(draw < silent + seen_once, rng.integers(10, 81, count), WINDOW_DAYS)
    until = np.where(draw < silent, 0, until)
    failed = back <= until
    unasked = failed & (back > 0) & (rng.random(count) < CAME_BY_ITSELF)
    return Outcomes(name, np.where(failed, back, until), failed, unasked, cured_in_window(truth, days_ago))
