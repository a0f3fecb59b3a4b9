"""From how many vehicles a year programming here costs less than sending out, and what is cheapest next year.

Of a make and n vehicles a year, each way costs

    a year's own costs + access(n) + device(n) + n x (each + chance that it fails x what that costs
                                                           + chance of not cured at road test x that
                                                           + chance of a comeback x what that costs)

where access(n) is bought as needed (access_as_needed.py), and device(n) is a device rented by the day: its
price on each day with a vehicle. Their costs bend down with n, all else is straight, so that once programming
here is the cheaper way it stays so: there is one break-even at most.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum

import numpy as np

from kb.nouns.outcomes import INTERVAL_LEVEL
from kb.outcomes.money.access_as_needed import cheapest_a_year, cost_a_year
from kb.outcomes.money.cheapest_subscription import SubscriptionPlan
from kb.outcomes.money.vehicles_a_year import VehiclesAYear
from kb.outcomes.tally import Floats

MOST_VEHICLES = 500
"""A year; a break-even above is none."""
DRAWS = 2000
BOUGHT_DAYS = 300
"""Plans from so many days on are bought, shorter ones are rented."""


class Course(StrEnum):
    """What a shop can do for a make: with a device of its own buy access or take it as vehicles come, rent a
    device by the day, or send out.
    """

    BUY = "buy"
    RENT = "rent"
    RENT_DEVICE = "rent_device"
    SEND_OUT = "send_out"


@dataclass(frozen=True, slots=True)
class Chance:
    """A chance counted as `happened` of `of`, from a guess that is worth `weight` vehicles."""

    happened: int
    of: int
    guess: float
    weight: float = 10.0

    @property
    def mean(self) -> float:
        return (self.guess * self.weight + self.happened) / (self.weight + self.of)

    def draws(self, rng: np.random.Generator, size: int) -> Floats:
        """Of its Beta distribution; a guess of 0 or 1 that nothing contradicts stays."""
        a, b = (
            self.guess * self.weight + self.happened,
            (1 - self.guess) * self.weight + self.of - self.happened,
        )
        return rng.beta(a, b, size) if a > 0 and b > 0 else np.full(size, self.mean)


NEVER = Chance(0, 0, 0.0)


@dataclass(frozen=True, slots=True)
class WayCosts:
    """What a way costs the shop, in minor units.

    `a_year_minor`: whatever comes; `each_minor`: a vehicle, when all goes well; then a failed programming, a
    comeback and a concern still there at the road test, with their chances. `plans`: access that is bought as
    needed; none: none is needed. `device_day_minor`: a device that is rented, on each day with a vehicle.
    """

    a_year_minor: float
    each_minor: float
    failure_minor: float = 0.0
    comeback_minor: float = 0.0
    failure: Chance = NEVER
    comeback: Chance = NEVER
    plans: tuple[SubscriptionPlan, ...] = ()
    road_test_minor: float = 0.0
    road_test: Chance = NEVER
    device_day_minor: int = 0

    @property
    def risks(self) -> tuple[tuple[Chance, float], ...]:
        """Each with what it costs when it happens."""
        return (
            (self.failure, self.failure_minor),
            (self.comeback, self.comeback_minor),
            (self.road_test, self.road_test_minor),
        )

    def mean_each_minor(self) -> float:
        """A vehicle, with what fails and comes back, at the mean chances."""
        return self.each_minor + sum(chance.mean * minor for chance, minor in self.risks)

    def a_year(self, vehicles: Floats, each: float | Floats | None = None) -> Floats:
        """With so many vehicles; `each`: a vehicle's cost, where it is not the mean."""
        access = cheapest_a_year(self.plans, vehicles) if self.plans else 0.0
        device = cost_a_year(SubscriptionPlan("a day", 1, self.device_day_minor), vehicles)
        of_each = self.mean_each_minor() if each is None else each
        return np.asarray(self.a_year_minor + access + device + vehicles * of_each, dtype=np.float64)


@dataclass(frozen=True, slots=True)
class BreakEven:
    """The number of vehicles a year from which here costs less, and its interval by the chances' uncertainty.

    None: at no number up to MOST_VEHICLES.
    """

    vehicles: int | None
    low: int | None
    high: int | None

    @property
    def sentence(self) -> str:
        if self.vehicles is not None:
            return f"Here costs less from {self.vehicles} a year on{self._between}."
        maybe = f", as far as can be told: here may pay from {self.low} a year on" if self.low else ""
        return f"Sending out costs less at any number of vehicles{maybe}."

    @property
    def _between(self) -> str:
        if not self.low or self.low == self.high:
            return ""
        return (
            f" ({self.low} to {self.high})" if self.high else f" ({self.low} or more, it may be at no number)"
        )


@dataclass(frozen=True, slots=True)
class Cheapest:
    """What each course costs at the mean number of vehicles, in minor units, and in which share of next years
    it is the cheapest.
    """

    a_year_minor: Mapping[Course, float] = field(default_factory=dict)
    chance: Mapping[Course, float] = field(default_factory=dict)

    @property
    def best(self) -> Course:
        """The one that is cheapest most often."""
        return max(self.chance, key=lambda one: (self.chance[one], -self.a_year_minor[one]))

    @property
    def next_best(self) -> Course:
        """The cheapest on average of the other courses."""
        others = (one for one in self.a_year_minor if one is not self.best)
        return min(others, key=self.a_year_minor.__getitem__)

    @property
    def next_minor(self) -> float:
        """What that costs a year."""
        return self.a_year_minor[self.next_best]

    @property
    def gain_minor(self) -> float:
        """How much less a year the best costs than that; below 0 where it costs more on average."""
        return self.next_minor - self.a_year_minor[self.best]


def break_even(here: WayCosts, sent_out: WayCosts, seed: int = 0) -> BreakEven:
    """At the mean chances, with its interval from seeded draws of them; a chance that both ways have is drawn
    once.
    """
    rng = np.random.default_rng(seed)
    vehicles = np.arange(1, MOST_VEHICLES + 1, dtype=np.float64)
    fixed = here.a_year(vehicles, 0.0) - sent_out.a_year(vehicles, 0.0)
    middle = _first(fixed + vehicles * (here.mean_each_minor() - sent_out.mean_each_minor()))
    ours, theirs = _draws_of_each((here, sent_out), rng)
    more = ours - theirs
    found = [_first(fixed + vehicles * one) or MOST_VEHICLES + 1 for one in more.tolist()]
    tail = (1.0 - INTERVAL_LEVEL) / 2.0
    low, high = np.quantile(found, [tail, 1.0 - tail], method="inverted_cdf").tolist()
    return BreakEven(middle, *(int(one) if one <= MOST_VEHICLES else None for one in (low, high)))


def cheapest(courses: Mapping[Course, WayCosts], expected: VehiclesAYear, seed: int = 0) -> Cheapest:
    """Of drawn next years: how many vehicles come, how often programming fails and concerns come back.

    The same draws of the vehicles serve every course, and so do those of a chance that courses share.
    """
    rng = np.random.default_rng(seed)
    vehicles = rng.poisson(expected.draws(rng, DRAWS)).astype(np.float64)
    ways = tuple(courses.values())
    drawn = [one.a_year(vehicles, each) for one, each in zip(ways, _draws_of_each(ways, rng), strict=True)]
    mean = np.asarray([expected.mean])
    best = np.argmin(np.vstack(drawn), axis=0)
    return Cheapest(
        {name: float(one.a_year(mean)[0]) for name, one in courses.items()},
        {name: float(np.mean(best == place)) for place, name in enumerate(courses)},
    )


def courses_of(
    here: WayCosts | None, sent_out: WayCosts | None, rented: WayCosts | None = None
) -> dict[Course, WayCosts]:
    """Where each can be: with a device of the shop's own buying access (plans of BOUGHT_DAYS and more) and
    renting it (shorter ones), with a rented device whichever access is cheapest, and sending out.
    """
    found = {}
    own = here.plans if here else ()
    for course, plans in ((Course.BUY, _long(own, True)), (Course.RENT, _long(own, False))):
        if here and plans:
            found[course] = replace(here, plans=plans)
    if rented and rented.plans:
        found[Course.RENT_DEVICE] = rented
    return found | ({Course.SEND_OUT: sent_out} if sent_out else {})


def _draws_of_each(ways: Sequence[WayCosts], rng: np.random.Generator) -> list[Floats]:
    """Drawn costs of a vehicle by each way: a chance that ways share is drawn once, others by themselves."""
    kinds = zip(*(one.risks for one in ways), strict=True)
    drawn = [
        {chance: chance.draws(rng, DRAWS) for chance in dict.fromkeys(chance for chance, _ in risks)}
        for risks in kinds
    ]
    return [
        one.each_minor
        + sum(draws[chance] * minor for draws, (chance, minor) in zip(drawn, one.risks, strict=True))
        for one in ways
    ]


def _long(plans: Sequence[SubscriptionPlan], wanted: bool) -> tuple[SubscriptionPlan, ...]:
    return tuple(one for one in plans if (one.days >= BOUGHT_DAYS) is wanted)


def _first(more: Floats) -> int | None:
    """The first number of vehicles at which here is not more but less."""
    cheaper = np.flatnonzero(more < 0)
    return int(cheaper[0]) + 1 if cheaper.size else None
