"""Which plan to buy next, where several occasions for it may ask for the same or for different ones."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from kb.outcomes.money.cheapest_subscription import SubscriptionCost, SubscriptionPlan


class Occasion(StrEnum):
    """Days like those of the last year, one day for all concerns that wait, and a day for each of them."""

    YEAR = "year"
    TOGETHER = "together"
    APART = "apart"


@dataclass(frozen=True, slots=True)
class Suggestion:
    """`plans` with how many of each, and the occasions for which they are cheapest.

    A single plan stands with 1, and with each occasion how often it is bought then; a mix belongs to the
    occasions that need exactly that mix, each once.
    """

    plans: tuple[tuple[SubscriptionPlan, int], ...]
    occasions: tuple[tuple[Occasion, int], ...]


def suggestions(
    cheapest: Mapping[Occasion, SubscriptionCost], plans: Iterable[SubscriptionPlan]
) -> tuple[Suggestion, ...]:
    """One for each different plan or mix, in the order of the occasions: one alone where all agree.

    Occasions without a day to cover, for which nothing is bought, suggest nothing.
    """
    named = {plan.name: plan for plan in plans}
    found: dict[tuple[tuple[str, int], ...], list[tuple[Occasion, int]]] = {}
    for occasion, cost in cheapest.items():
        if not cost.bought:
            continue
        name, count = cost.bought[0]
        alone = len(cost.bought) == 1
        mix, times = (((name, 1),), count) if alone else (cost.bought, 1)
        found.setdefault(mix, []).append((occasion, times))
    return tuple(
        Suggestion(tuple((named[name], count) for name, count in mix), tuple(occasions))
        for mix, occasions in found.items()
    )
