"""What programming a make costs here and sent out, part by part; what nobody entered is not counted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from kb.advice.planning.costs import failed_programming
from kb.desk.review.here_or_sent_out.vehicles import ENOUGH, Counted, enough_of
from kb.desk.shop.equipment import EquipmentKind, supports_programming
from kb.desk.shop.upkeep import Upkeep
from kb.desk.shop_settings import ShopSettings
from kb.nouns.shop.ways import Way, WayPrice
from kb.outcomes.money.cheapest_subscription import SubscriptionPlan
from kb.outcomes.money.here_or_sent_out import Chance, WayCosts
from kb.outcomes.money.vehicles_a_year import VehiclesAYear
from kb.records.store.outcomes.ended_by_way import NOTHING_ENDED, Ended
from kb.vehicle.families import fold

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

    `comebacks_as_here`: too few outcomes of what others did are known, so that what does not cure is taken
    to be as frequent as here. `has_device`: one here is listed for the make, or is rented.
    """

    way: Way
    parts: tuple[Part, ...]
    costs: WayCosts
    not_counted: tuple[str, ...] = ()
    comebacks_as_here: bool = False
    has_device: bool = True


@dataclass(frozen=True, slots=True)
class Basis:
    """What the costs of every make rest on; mappings are by make, folded. `ended`: how
    reflashes ended, by way.
    """

    settings: ShopSettings
    upkeep: Sequence[Upkeep]
    plans: Mapping[str, Sequence[SubscriptionPlan]]
    prices: Sequence[WayPrice]
    counted: Counted
    expected: Mapping[str, VehiclesAYear]
    ended: Mapping[str, Ended]


def here(basis: Basis, make: str, name: str) -> Costs:
    """Programming the make here, with what equipment the shop has."""
    found = _equipment(basis, make)
    missing = found.missing if found.listed else (f"a device: none here is listed for {name}", *found.missing)
    return _here(basis, make, (*found.devices, *found.others), missing, has_device=found.listed)


def rented(basis: Basis, make: str) -> Costs | None:
    """Programming it here with a device that is rented on each day with a vehicle; None without its price."""
    prices = basis.settings.device_rent_by_make_minor.items()
    price = next((price for name, price in prices if fold(name) == make), None)
    if price is None:
        return None
    found = _equipment(basis, make)
    ours = _here(basis, make, found.others, found.missing)
    return replace(ours, costs=replace(ours.costs, device_day_minor=price))


def _here(
    basis: Basis, make: str, pieces: Sequence[Part], missing: Sequence[str], *, has_device: bool = True
) -> Costs:
    training = _training(basis, make)
    parts = (_work(basis, make), *pieces, *training)
    missing = (*missing, *["training: nothing is entered"] * (not training))
    missing = (*missing, *["access: no price of a plan is known"] * (not basis.plans.get(make)))
    total = _sum(basis, Way.HERE, parts, basis.plans.get(make, ()))
    return Costs(Way.HERE, parts, total, missing, has_device=has_device)


def sent_out(basis: Basis, make: str) -> Costs | None:
    """The cheapest way by which somebody else does it for money; None where nobody was asked for a price."""
    found = []
    for way in (Way.MOBILE, Way.DEALER_PAID):
        asked = [
            one.content for one in basis.prices if fold(one.content.make) == make and one.content.way is way
        ]
        asked = [one for one in asked if not one.module] or asked
        if asked:
            modules = basis.counted.modules_each(make)
            price = modules * sum(one.price_minor for one in asked) / len(asked)
            days = sum(one.days for one in asked) / len(asked) * basis.settings.vehicle_day_minor
            said = f" a module, {modules:.1f} modules" if round(modules, 1) != 1 else ""
            parts = [Part(f"price quoted{said}", each_minor=price)]
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
        basis.settings.road_test_failure_cost_minor,
        _at_road_test(basis, way),
    )


def _work(basis: Basis, make: str) -> Part:
    """Minutes of the make where enough are known, else of all makes, else the shop's setting."""
    settings, known = basis.settings, enough_of(basis.counted.minutes, make)
    minutes = sum(known) / len(known) if known else settings.reflash_minutes
    cost = _labor_minor(minutes, settings) + settings.relearn_cost_minor
    return Part(f"work, {minutes:.0f} minutes, and relearns", each_minor=cost)


@dataclass(frozen=True, slots=True)
class _Equipped:
    """What serves a make: `devices` that are listed for it, and `others`, with what has no price."""

    devices: tuple[Part, ...]
    others: tuple[Part, ...]
    missing: tuple[str, ...]
    listed: bool


def _equipment(basis: Basis, make: str) -> _Equipped:
    """What serves this make alone counts whole, what serves several by each vehicle's share."""
    devices: list[Part] = []
    others: list[Part] = []
    missing, listed = [], False
    for one in basis.upkeep:
        makes = _serves(one, basis.expected)
        if make not in makes:
            continue
        is_device = one.piece.content.kind is EquipmentKind.PASS_THRU_DEVICE
        listed = listed or is_device
        part = _piece(basis, one, make, makes)
        if part is None:
            missing.append(f"{one.piece.content.name}: no price is entered")
        else:
            (devices if is_device else others).append(part)
    return _Equipped(tuple(devices), tuple(others), tuple(missing), listed)


def _piece(basis: Basis, one: Upkeep, make: str, makes: set[str]) -> Part | None:
    a_year, called = one.cost.a_year_minor, one.piece.content.name
    if a_year is None:
        return None
    if makes == {make}:
        return Part(called, a_year_minor=a_year)
    vehicles = sum(basis.expected[each].mean for each in makes if each in basis.expected)
    return Part(f"{called}, shared", each_minor=a_year / vehicles)


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
    ended, seen = _ended(basis, way), basis.settings.road_test_failure_share
    return Chance(ended.back, ended.every, _not_cured(basis) * (1 - seen), GUESS_WORTH)


def _at_road_test(basis: Basis, way: Way) -> Chance:
    """The same of a concern that was still there at the road test."""
    ended, seen = _ended(basis, way), basis.settings.road_test_failure_share
    return Chance(ended.at_road_test, ended.every, _not_cured(basis) * seen, GUESS_WORTH)


def _not_cured(basis: Basis) -> float:
    """The settings' guess."""
    return 1 - basis.settings.starting().k / 10


def _ended(basis: Basis, way: Way) -> Ended:
    counts_as = Way.HERE if _too_few(basis, way) else way
    return basis.ended.get(counts_as.value, NOTHING_ENDED)


def _too_few(basis: Basis, way: Way) -> bool:
    return basis.ended.get(way.value, NOTHING_ENDED).every < ENOUGH
