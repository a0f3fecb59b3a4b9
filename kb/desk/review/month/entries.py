"""The entries of some days, as they stood on a day: what was gathered, each thing once."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from kb.desk.bay.outcomes.observed import observed_in
from kb.desk.context import Desk
from kb.desk.review.month.gathering import Gathered, Span
from kb.nouns.concerns import UNFINISHED, ReflashResult
from kb.nouns.outcomes import Observation, Standing
from kb.nouns.review.month import Entry, Piece, What
from kb.nouns.shop.ways import Way
from kb.outcomes.money.turned_away import missing
from kb.outcomes.month.adding_up import RECOVERED_LATER
from kb.records.store.outcomes.month import PaidOn, Programmed

KINDS = ("pass_thru_device", "computer", "battery_support_unit")
_PAID = {"billed": What.BILLED, "credited": What.CREDITED, "cost": What.COST}


@dataclass(frozen=True, slots=True)
class Days:
    """The days of `span` as everything stood on `as_of`."""

    span: Span
    as_of: date

    def has(self, day: date) -> bool:
        return self.span[0] <= day <= self.span[1] and day <= self.as_of

    @property
    def count(self) -> int:
        return (self.span[1] - self.span[0]).days + 1


def entries_of(desk: Desk, found: Gathered, days: Days) -> tuple[Entry, ...]:
    """By kind, then in the order of the days."""
    ways = {one.order_id: one.way for one in found.programmed if one.order_id}
    return tuple(
        sorted(
            (
                *_sittings(desk, found, days),
                *modules(found, days),
                *_reflashes(desk, found, days),
                *_paid(desk, found, days, ways),
                *_comebacks(found, days, ways),
                *_access(found, days),
                *turned_away(found, days),
            ),
            key=lambda one: (list(What).index(one.what), one.on),
        )
    )


def modules(found: Gathered, days: Days) -> Iterator[Entry]:
    """Each module that was tried, with what it was tried with."""
    pieces = {one.id: one.content for one in found.equipment}
    unfinished: set[tuple[int, str]] = set()
    for one in found.programmed:
        told, at = one.result, (one.vehicle_id, one.module.casefold())
        if told == ReflashResult.RECOVERED.value and at in unfinished:
            told = RECOVERED_LATER
        (unfinished.add if one.result in UNFINISHED else unfinished.discard)(at)
        if not days.has(one.performed_on):
            continue
        used = zip(
            KINDS,
            (one.device_id, one.computer_id, one.support_unit_id),
            (one.device_version, one.computer_version, one.support_unit_version),
            strict=True,
        )
        with_what = tuple(
            Piece(piece, kind, pieces[piece].name, version)
            for kind, piece, version in used
            if piece in pieces
        )
        yield Entry(
            What.MODULE,
            one.performed_on,
            found.make(one.make),
            one.way,
            told,
            one.number,
            pieces=with_what,
        )


def turned_away(found: Gathered, days: Days) -> Iterator[Entry]:
    """Each concern that went elsewhere, with what was missing; here, where nobody said to whom it went."""
    for one in found.away:
        if not days.has(one.on):
            continue
        listed, access = found.device_listed(one.make), found.access(one.make, one.on)
        lacked = missing(one.why_not, device_listed=listed, access=access, way=one.way)
        way = one.way or Way.HERE.value
        make, order = found.make(one.make), one.order_id
        yield Entry(What.TURNED_AWAY, one.on, make, way, lacked.value, one.number, order_id=order)


def _sittings(desk: Desk, found: Gathered, days: Days) -> Iterator[Entry]:
    billed = _billed(desk, found.paid, days.as_of)
    seen: set[int] = set()
    for one in found.programmed:
        if one.event_id in seen or not days.has(one.performed_on):
            continue
        seen.add(one.event_id)
        told = "billed" if billed[one.order_id or 0] > 0 else "unbilled"
        yield _of_sitting(found, one, told)


def _of_sitting(found: Gathered, one: Programmed, told: str) -> Entry:
    make = found.make(one.make)
    return Entry(What.SITTING, one.performed_on, make, one.way, told, one.number, minutes=one.minutes)


def _billed(desk: Desk, paid: Iterable[PaidOn], as_of: date) -> Counter[int]:
    """What was billed to others and not credited by then, by repair order."""
    kept: Counter[int] = Counter()
    for one in paid:
        if one.who_paid != "shop" and one.kind != "cost" and desk.shop.day_of(one.at) <= as_of:
            kept[one.order_id] += one.amount_minor if one.kind == "billed" else -one.amount_minor
    return kept


def _reflashes(desk: Desk, found: Gathered, days: Days) -> Iterator[Entry]:
    sittings = {one.event_id: one for one in found.programmed}
    for seen in (one for some in observed_in(desk, found.stories, days.as_of, None).values() for one in some):
        sitting = sittings.get(seen.reflash.sitting)
        if sitting is not None and days.has(seen.reflashed_on):
            make = found.make(sitting.make)
            yield Entry(What.REFLASH, seen.reflashed_on, make, sitting.way, _stands(seen), sitting.number)


def _stands(seen: Observation) -> str:
    """How a reflash stands: a failure before all, then what keeps it out of the rates."""
    if seen.standing is Standing.FOLLOWED_TO_WINDOW and not seen.other_work:
        return "other_cause" if seen.explained else "cured"
    failed = seen.standing in (Standing.FAILED_AT_ROAD_TEST, Standing.COMEBACK, Standing.OTHER_CAUSE)
    return "with_other_work" if seen.other_work and not failed else seen.standing.name.lower()


def _paid(desk: Desk, found: Gathered, days: Days, ways: Mapping[int, str]) -> Iterator[Entry]:
    """Payments written down on the days. What the shop bore of a comeback may stand on the repair order and
    on the follow-up alike: it is told with the follow-up.
    """
    twice: dict[int, Counter[int]] = defaultdict(Counter)
    for heard in (one for one in found.came_back if one.seen_on <= days.as_of):
        twice[heard.order_id][heard.cost_minor] += 1
    for one in found.paid:
        on, shop = desk.shop.day_of(one.at), one.who_paid == "shop"
        if one.kind == "cost" and shop and twice[one.order_id][one.amount_minor]:
            twice[one.order_id][one.amount_minor] -= 1
        elif days.has(on):
            what = What.COST if one.kind == "billed" and shop else _PAID[one.kind]
            way = one.way or ways.get(one.order_id, Way.HERE.value)
            make = found.make(one.make)
            yield Entry(what, on, make, way, one.who_paid, one.number, one.amount_minor)


def _comebacks(found: Gathered, days: Days, ways: Mapping[int, str]) -> Iterator[Entry]:
    for one in found.came_back:
        if days.has(one.seen_on):
            way, make = ways.get(one.order_id, Way.HERE.value), found.make(one.make)
            cost, on = one.cost_minor, one.seen_on
            yield Entry(What.COST, on, make, way, "shop", one.number, cost, of_comeback=True)


def _access(found: Gathered, days: Days) -> Iterator[Entry]:
    """Each subscription's share of the days, its price spread evenly over its own.

    Shares of days that follow each other add up to the price, to the cent.
    """
    first, last = days.span[0], min(days.span[1], days.as_of)
    for one in (one.content for one in found.bought):
        begun, ended = max(first, one.bought_on), min(last, one.ends_on)
        if begun <= ended:
            before = (begun - one.bought_on).days
            upto = (ended - one.bought_on + timedelta(days=1)).days
            share = one.price_minor * upto // one.length - one.price_minor * before // one.length
            make = found.make(one.make)
            yield Entry(What.SUBSCRIPTION, begun, make, Way.HERE.value, one.plan, "", share)
