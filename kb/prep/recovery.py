"""After "stopped with error": what is recovery, and what is another attempt that waits.

A retry that the manufacturer's screen offers in the same programming session goes on and is recorded as
recovery. A new session, another tool or another module waits until the recovery is recorded, or a lead says
so.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from kb.nouns.concerns import INSTALLED, ReflashResult
from kb.vehicle.lineage import fold_id

_OF_THE_STOPPED = frozenset({ReflashResult.RECOVERED, ReflashResult.STOPPED, ReflashResult.MODULE_LOST})


@dataclass(frozen=True, slots=True)
class Attempt:
    """One module of one sitting, how it ended, and when that was written down."""

    module: str
    result: ReflashResult
    performed_on: date
    recorded_at: datetime


def not_recovered(attempts: Iterable[Attempt]) -> tuple[Attempt, ...]:
    """Of attempts, oldest first: the modules whose last one stopped with an error or lost the module."""
    tried = (one for one in attempts if one.result is not ReflashResult.NOTHING_NEWER)
    last = {fold_id(one.module): one for one in tried}
    return tuple(one for one in last.values() if one.result not in INSTALLED)


def other_attempts(waiting: Sequence[Attempt], new: Sequence[tuple[str, ReflashResult]]) -> tuple[int, ...]:
    """Places in a new sitting of modules that are another attempt while one is not recovered.

    What recovers the module that stopped, or says again that it did not come back, is none; nor is a look-up.
    In a sitting that recovers all of them, the other modules are none either.
    """
    stopped = {fold_id(one.module) for one in waiting}
    recovered = {fold_id(module) for module, result in new if result is ReflashResult.RECOVERED}
    if stopped <= recovered:
        return ()
    return tuple(
        at
        for at, (module, result) in enumerate(new)
        if result is not ReflashResult.NOTHING_NEWER
        and not (result in _OF_THE_STOPPED and fold_id(module) in stopped)
    )
