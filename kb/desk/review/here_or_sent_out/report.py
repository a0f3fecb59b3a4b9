"""Here or sent out, by make: the break-even, the cheapest course next year, and what was turned away."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from kb.desk import settings as settings_desk
from kb.desk.context import Desk, lead_or_owner
from kb.desk.review.here_or_sent_out.costs import Basis, Costs, here, rented, sent_out
from kb.desk.review.here_or_sent_out.vehicles import counted
from kb.desk.review.month.entries import Days
from kb.desk.review.month.gathering import gather
from kb.desk.shop import upkeep, way_prices
from kb.desk.shop.next_subscription import plans_known
from kb.nouns.outcomes import Interval
from kb.nouns.review.month import Missing, TurnedAway
from kb.outcomes.money.here_or_sent_out import BreakEven, Cheapest, WayCosts, break_even, cheapest, courses_of
from kb.outcomes.money.turned_away import TO_BE_HAD
from kb.outcomes.money.vehicles_a_year import VehiclesAYear, vehicles_a_year
from kb.outcomes.month.adding_up import turned_away
from kb.records.store.outcomes import month as store
from kb.records.store.outcomes.ended_by_way import ended_by_way
from kb.vehicle.families import fold

LOOK_BACK_DAYS = 730
CLOSE = 0.65
"""Share of next years under which a choice is called close."""
FEWEST = 5
"""Vehicles of a make under which nothing is said of it: the guess would speak, not the shop."""


@dataclass(frozen=True, slots=True)
class MakeChoice:
    """One make. `vehicles` were counted in `years`; `expected` a year, and next year's number in `between`.

    `rented`: with a device that is rented by the day, where its price is entered; where none here is listed
    it is what `break_even` compares. That and `cheapest` are None where a price is missing; `cannot_tell`:
    too few vehicles.
    """

    make: str
    vehicles: int
    years: float
    expected: float
    between: Interval
    here: Costs
    sent_out: Costs | None
    rented: Costs | None
    break_even: BreakEven | None
    cheapest: Cheapest | None

    @property
    def cannot_tell(self) -> bool:
        return self.vehicles < FEWEST

    @property
    def is_close(self) -> bool:
        """Whether another course may well be cheaper next year."""
        return self.cheapest is not None and self.cheapest.chance[self.cheapest.best] < CLOSE


@dataclass(frozen=True, slots=True)
class HereOrSentOut:
    """Makes with the most vehicles first; `turned_away` in the last year, `would_keep_most` of what can be
    had; `guess`: vehicles a year of a make before any is counted, and the years that this is worth.
    """

    since: date
    makes: tuple[MakeChoice, ...]
    turned_away: tuple[TurnedAway, ...]
    would_keep_most: TurnedAway | None
    guess: tuple[float, float]

    @property
    def without_reason(self) -> int:
        """Concerns that went to the dealer while nobody wrote down why."""
        return sum(one.count for one in self.turned_away if one.missing is Missing.NOT_SAID)

    def verdict(self, make: str) -> MakeChoice | None:
        """What is said of a make however it is written; None where nothing is."""
        said = (one for one in self.makes if one.cheapest and not one.cannot_tell)
        return next((one for one in said if fold(one.make) == fold(make)), None)


@lead_or_owner
def here_or_sent_out(desk: Desk) -> HereOrSentOut:
    """From the shop's own counts of at most two years, its prices and its settings."""
    first = store.first_day(desk.session, desk.shop.id) or desk.today
    since = max(first, desk.today - timedelta(days=LOOK_BACK_DAYS - 1))
    found = gather(desk, since, desk.today)
    days = Days((since, desk.today), desk.today)
    seen = counted(found, days)
    settings = settings_desk.current(desk)
    guess = (settings.vehicles_guess_a_year, settings.vehicles_guess_years)
    years = days.count / 365
    window_over = desk.today - timedelta(days=settings.window_days)
    expected = {make: vehicles_a_year(n, years, *guess) for make, n in seen.vehicles.items()}
    basis = Basis(
        settings,
        upkeep.list_upkeep(desk),
        plans_known(desk, found.bought),
        way_prices.list_way_prices(desk),
        seen,
        expected,
        ended_by_way(desk.session, desk.shop.id, since, window_over),
    )
    makes = [_choice(basis, make, found.names[make], years, one) for make, one in expected.items() if make]
    year_ago = desk.today - timedelta(days=364)
    away = turned_away(one for one in seen.away if one.on >= year_ago)
    return HereOrSentOut(
        since,
        tuple(sorted(makes, key=lambda one: (-one.vehicles, one.make))),
        away,
        next((one for one in away if one.missing in TO_BE_HAD), None),
        guess,
    )


def _choice(basis: Basis, make: str, name: str, years: float, expected: VehiclesAYear) -> MakeChoice:
    ours, theirs, by_day = here(basis, make, name), sent_out(basis, make), rented(basis, make)
    own = ours if ours.has_device or by_day is None else None
    courses = courses_of(_costs(own), _costs(theirs), _costs(by_day))
    first = own or by_day or ours
    return MakeChoice(
        name,
        basis.counted.vehicles[make],
        years,
        expected.mean,
        expected.interval(),
        ours,
        theirs,
        by_day,
        break_even(first.costs, theirs.costs) if theirs and first.costs.plans else None,
        cheapest(courses, expected) if len(courses) > 1 else None,
    )


def _costs(one: Costs | None) -> WayCosts | None:
    return one.costs if one else None
