"""The decision problem that a plan solves, as plain values.

Causes are the K updates, in order, and last "something else". Money in one currency.
"""

from __future__ import annotations

from dataclasses import dataclass

MAX_CHECKS = 12
MAX_UPDATES = 3
TIE = 1e-9


@dataclass(frozen=True, slots=True)
class PlanUpdate:
    """An update: the chance that it is the cure, and what reflashing it costs."""

    name: str
    chance: float
    cost: float
    key: str = ""


@dataclass(frozen=True, slots=True)
class PlanCheck:
    """A check not done yet: the chance of a yes under each cause (K updates, then something else).

    `saved` is what a later diagnosis costs less once the check is done. `counts` is how many closed
    concerns stand behind it; None where nobody counted. `minutes` until its result, waiting included.
    """

    name: str
    yes: tuple[float, ...]
    cost: float
    saved: float = 0.0
    counts: float | None = None
    key: str = ""
    minutes: float = 0.0


@dataclass(frozen=True, slots=True)
class Problem:
    """One concern as a decision.

    `shared` is a fee paid with the first reflash of the plan. `shared_if_found` is the fee still due when
    a diagnosis before any reflash finds that an update is the cure.
    """

    updates: tuple[PlanUpdate, ...]
    checks: tuple[PlanCheck, ...]
    diagnosis: float
    rework: float
    shared: float = 0.0
    shared_if_found: float = 0.0

    @property
    def chances(self) -> tuple[float, ...]:
        """Chances of all causes. A remainder under 1e-12 is rounding and counts as none."""
        given = tuple(u.chance for u in self.updates)
        rest = 1.0 - sum(given)
        return (*given, rest if rest > 1e-12 else 0.0)
