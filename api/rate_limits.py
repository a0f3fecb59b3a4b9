"""How often somebody unknown may knock. Counts live in one process: with n workers the limits are n times."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass

_MOST_KEYS = 10_000  # an attacker with many addresses must not fill the memory


@dataclass(frozen=True, slots=True)
class Rate:
    """At most `count` in `seconds`, after a pause all of them at once."""

    count: int
    seconds: float


class RateLimit:
    """A bucket per key that refills steadily; `take` says how long to wait, 0 for come in."""

    def __init__(self, rate: Rate, clock: Callable[[], float] = time.monotonic) -> None:
        self._rate = rate
        self._clock = clock
        self._buckets: dict[str, tuple[float, float]] = {}
        self._guard = threading.Lock()

    def take(self, key: str) -> float:
        """Use up one call of `key`. Returns seconds until the next one is free, or 0 if this one was."""
        per_second = self._rate.count / self._rate.seconds
        with self._guard:
            now = self._clock()
            left, at = self._buckets.get(key, (float(self._rate.count), now))
            left = min(self._rate.count, left + (now - at) * per_second)
            if len(self._buckets) >= _MOST_KEYS:
                self._forget_full(now, per_second)
            if left < 1:
                self._buckets[key] = (left, now)
                return (1 - left) / per_second
            self._buckets[key] = (left - 1, now)
            return 0.0

    def _forget_full(self, now: float, per_second: float) -> None:
        self._buckets = {
            key: (left, at)
            for key, (left, at) in self._buckets.items()
            if left + (now - at) * per_second < self._rate.count
        }
        if len(self._buckets) >= _MOST_KEYS:
            self._buckets.clear()  # whoever has that many addresses is not held by a count per address


@dataclass(frozen=True, slots=True)
class Limits:
    """What one application allows to people whom it does not know."""

    anonymous: RateLimit


def usual_limits() -> Limits:
    """120 anonymous API calls a minute."""
    return Limits(RateLimit(Rate(120, 60)))
