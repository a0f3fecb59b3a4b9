"""What programming a make costs here and sent out, part by part; what nobody entered is not counted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from kb.advice.planning.costs import failed_programming
from kb.desk.review.here_or_sent_out.vehicles import Counted
from kb.desk.shop.equipment import EquipmentKind, supports_programming
from kb.desk.shop.upkeep import Upkeep
from kb.desk.shop_settings import ShopSettings
from kb.nouns.shop.ways import Way, WayPrice
from kb.outcomes.money.cheapest_subscription import SubscriptionPlan
from kb.outcomes.money.here_or_sent_out import Chance, WayCosts
from kb.outcomes.money.vehicles_a_year import VehiclesAYear
from kb.vehicle.families import fold

ENOUGH = 5
"""So many known, and their mean goes before that of all makes, or of what was done here."""
GUESS_WORTH = 20.0
"""Vehicles that the settings' chances are worth beside what was counted."""


@dataclass(frozen=True, slots=True)
class Part:
    """One part of what a way costs: in minor units a year, or a vehicle."""

    words: str
    a_year_minor: float = 0.0
    each_minor: float = 0.0


@dataclass(frozen=True, slots=True)
class Costs:
    """`way` with its parts and their sum as the comparison takes it; `not_counted` in words.

    `comebacks_as_here`: too few outcomes of what others did are known, so that its comebacks are taken to be
    as frequent as here.
    """

    way: Way
    parts: tuple[Part, ...]
    costs: WayCosts
    not_counted: tuple[str, ...] = ()
    comebacks_as_here: bool = False


@dataclass(frozen=True, slots=True)
class Basis:
    """What the costs of every make rest on; mappings are by make, folded. `back`: (comebacks, reflashes) by
    way.
    """

    settings: ShopSettings
    upkeep: Sequence[Upkeep]
    plans: Mapping[str, Sequence[SubscriptionPlan]]
    prices: Sequence[WayPrice]
    counted: Counted
    expected: Mapping[str, VehiclesAYear]
    back: Mapping[str, tuple[int, int]]


def here(basis: Basis, make: str, name: str) -> Costs:
    """Programming the make here."""
    pieces, missing = _equipment(basis, make, name)
    training = _training(basis, make)
    parts = (_work(basis, make), *pieces, *training)
    if not training:
        missing.append("training: nothing is entered")
    if not basis.plans.get(make):
        missing.append("access: no price of a plan is known")
    return Costs(Way.HERE, parts, _sum(basis, Way.HERE, parts, basis.plans.get(make, ())), tuple(missing))


def sent_out(basis: Basis, make: str) -> Costs | None:
    """The cheapest way by which somebody else does it for money; None where nobody was asked for a price."""
    found = []
    for way in (Way.MOBILE, Way.DEALER_PAID):
        asked = [
            one.content for one in basis.prices if fold(one.content.make) == make and one.content.way is way
        ]
        asked = [one for one in asked if not one.module] or asked
        if asked:
            price = sum(one.price_minor for one in asked) / len(asked)
            days = sum(one.days for one in asked) / len(asked) * basis.settings.vehicle_day_minor
            parts = [Part("price quoted", each_minor=price)]
            parts += [Part("days away", each_minor=days)] * bool(days)
            total, few = _sum(basis, way, parts, ()), _too_few(basis, way)
            found.append(Costs(way, tuple(parts), total, comebacks_as_here=few))
    return min(found, key=lambda one: one.costs.mean_each_minor(), default=None)


def _sum(basis: Basis, way: Way, parts: Sequence[Part], plans: Sequence[SubscriptionPlan]) -> WayCosts:
    return WayCosts(
        sum(one.a_year_minor for one in parts),
        sum(one.each_minor for one in parts),
        _failure_minor(basis.settings) if way is Way.HERE else 0.0,
        basis.settings.comeback_cost_minor,
        _failure(basis),
        _comeback(basis, way),
        tuple(plans),
    )


def _work(basis: Basis, make: str) -> Part:
    """Minutes of the make where enough are known, else of all makes, else the shop's setting."""
    settings, every = basis.settings, [one for some in basis.counted.minutes.values() for one in some]
    known = basis.counted.minutes.get(make, [])
    known = known if len(known) >= ENOUGH else every
    minutes = sum(known) / len(known) if len(known) >= ENOUGH else settings.reflash_minutes
    cost = _labor_minor(minutes, settings) + settings.relearn_cost_minor
    return Part(f"work, {minutes:.0f} minutes, and relearns", each_minor=cost)


def _equipment(basis: Basis, make: str, name: str) -> tuple[list[Part], list[str]]:
    """What serves this make alone counts whole, what serves several by each vehicle's share."""
    parts, missing, listed = [], [], False
    for one in basis.upkeep:
        makes = _serves(one, basis.expected)
        if make not in makes:
            continue
        listed = listed or one.piece.content.kind is EquipmentKind.PASS_THRU_DEVICE
        a_year, called = one.cost.a_year_minor, one.piece.content.name
        if a_year is None:
            missing.append(f"{called}: no price is entered")
        elif makes == {make}:
            parts.append(Part(called, a_year_minor=a_year))
        else:
            vehicles = sum(basis.expected[each].mean for each in makes if each in basis.expected)
            parts.append(Part(f"{called}, shared", each_minor=a_year / vehicles))
    return parts, missing if listed else [f"a device: none here is listed for {name}", *missing]


def _serves(one: Upkeep, expected: Mapping[str, VehiclesAYear]) -> set[str]:
    """Folded makes: those that list a device, all for a computer or a clean supply."""
    it = one.piece.content
    if it.kind is EquipmentKind.PASS_THRU_DEVICE:
        return {fold(make) for make in it.validated}
    return set(expected) if it.kind is EquipmentKind.COMPUTER or supports_programming(it) else set()


def _training(basis: Basis, make: str) -> list[Part]:
    prices = basis.settings.training_by_make_minor.items()
    return [Part("training", a_year_minor=price) for name, price in prices if fold(name) == make]


def _failure_minor(settings: ShopSettings) -> float:
    """One failed programming: its recovery, or the module, as often as the settings expect either."""
    chance = settings.recovery_chance + settings.module_lost_chance
    recovery = _labor_minor(settings.recovery_minutes, settings)
    spread = failed_programming(settings, settings.module_price_minor, recovery)
    return spread / chance if chance else 0.0


def _labor_minor(minutes: float, settings: ShopSettings) -> float:
    return minutes / 60 * settings.labor_rate_minor_per_hour


def _failure(basis: Basis) -> Chance:
    guess = min(basis.settings.recovery_chance + basis.settings.module_lost_chance, 1.0)
    return Chance(basis.counted.failed, basis.counted.tried, guess, GUESS_WORTH)


def _comeback(basis: Basis, way: Way) -> Chance:
    """Of what was reflashed by this way; as here, until there is ENOUGH of another."""
    settings, counts_as = basis.settings, Way.HERE if _too_few(basis, way) else way
    back, every = basis.back.get(counts_as.value, (0, 0))
    guess = (1 - settings.starting().k / 10) * (1 - settings.road_test_failure_share)
    return Chance(back, every, guess, GUESS_WORTH)


def _too_few(basis: Basis, way: Way) -> bool:
    return basis.back.get(way.value, (0, 0))[1] < ENOUGH
