"""The programming event: equipment, subscription, one result a module, the road test."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from random import Random
from zlib import crc32

from demo_data.cars import Garage, cvn
from demo_data.cases import Case
from demo_data.shop import Shop, Subscription
from demo_data.story import Bought, Programmed, StoryEvent, What
from demo_data.truth import MODULE_LOST, NOTHING_NEWER, OTHER_WORK, RECOVERED, ROAD_TEST_SHOWS, STOPPED
from kb.nouns.concerns import Duplicated, ModuleResult, ProgrammingEventDraft, ReflashResult, RoadTest
from kb.nouns.notes import NoteDraft
from kb.nouns.shop.ways import Way
from kb.nouns.vehicles import CalibrationSource

_WORK = ("plugs replaced", "battery replaced", "codes cleared, adaptives reset", "connector reseated")
_ERRORS = ("Session ended: no answer from module", "Transfer stopped at 61%", "Security access refused")
_INSTALLED = (ReflashResult.COMPLETED, ReflashResult.RECOVERED)
SENT_OUT_MAKE = "Orsel"
_QUIET = (ReflashResult.COMPLETED, ReflashResult.NOTHING_NEWER)


@dataclass(slots=True)
class Desk:
    """What the shop has at hand while the story is told: equipment, running subscriptions, chance."""

    shop: Shop
    garage: Garage
    rng: Random
    sent_out_from: date
    running: dict[str, list[Subscription]] = field(default_factory=dict)
    events: int = 0

    def subscription(self, make: str, day: date) -> tuple[Subscription, bool]:
        """The subscription that covers the day, and whether it had to be bought."""
        bought = self.running.setdefault(make, [])
        for one in reversed(bought):
            if one.bought_on <= day <= one.expires_on:
                return one, False
        offer = next(one for one in self.shop.offers if one.make == make)
        key = f"{offer.name} ({day.isoformat()})"
        new = Subscription(key, offer, day, day + timedelta(days=offer.days - 1))
        bought.append(new)
        return new, True


@dataclass(frozen=True, slots=True)
class Sitting:
    """What came of the visit: the events, whether an update was tried and went in, and the road test."""

    events: tuple[StoryEvent, ...]
    day: date
    tried: bool = False
    installed: bool = False
    left: bool = False
    module_lost: bool = False
    road_test: RoadTest = RoadTest.CANNOT_SAY
    other_work: bool = False
    cause_found: bool = False


@dataclass(frozen=True, slots=True)
class Attempt:
    """One try at installing the considered update."""

    case: Case
    note: NoteDraft
    day: date
    subscription: Subscription | None
    result: ReflashResult
    other_work: tuple[str, ...] = ()
    road_test: RoadTest = RoadTest.CANNOT_SAY


def program(case: Case, note: NoteDraft, desk: Desk, day: date) -> Sitting:
    """Program the modules of the update; one that stops is recovered on the same day."""
    result = _result(case, desk.rng)
    subscription, bought = None, False
    if not _goes_out(case, result, desk, day):
        subscription, bought = desk.subscription(case.car.vehicle.make, day)
    attempt = Attempt(case, note, day, subscription, result)
    sessions = []
    if attempt.result is ReflashResult.STOPPED:
        sessions.append(_session(attempt, desk))
        attempt = replace(attempt, result=ReflashResult.RECOVERED)
    installed = attempt.result in _INSTALLED
    other = (desk.rng.choice(_WORK),) if desk.rng.random() < OTHER_WORK else ()
    if other and subscription is None:
        subscription, bought = desk.subscription(case.car.vehicle.make, day)
    attempt = replace(attempt, subscription=subscription)
    road_test = _road_test(case, desk.rng) if installed else RoadTest.CANNOT_SAY
    sessions.append(_session(replace(attempt, other_work=other, road_test=road_test), desk))
    if installed:
        for one in sessions[-1].draft.modules:
            case.car.calibrations[one.module] = one.calibration_after
    told: list[What] = [*([Bought(subscription)] if subscription and bought else []), *sessions]
    return Sitting(
        tuple(StoryEvent(day, case.technician, what) for what in told),
        day,
        tried=True,
        installed=installed,
        module_lost=attempt.result is ReflashResult.MODULE_LOST,
        road_test=road_test,
        other_work=bool(other),
    )


def _goes_out(case: Case, result: ReflashResult, desk: Desk, day: date) -> bool:
    """Lately every second repair order of one make, where nothing failed and nothing else is done."""
    lately = day >= desk.sent_out_from and case.car.vehicle.make == SENT_OUT_MAKE
    ro_number = case.concern.split("-")[0]
    return lately and result is ReflashResult.COMPLETED and crc32(ro_number.encode()) % 2 == 0


def _result(case: Case, rng: Random) -> ReflashResult:
    """How programming ends, at the rates of truth.py; the update with three vehicles always goes in."""
    if case.family.key == "stop_start":
        return ReflashResult.COMPLETED
    draw = rng.random()
    rare = (
        (RECOVERED, ReflashResult.RECOVERED),
        (MODULE_LOST, ReflashResult.MODULE_LOST),
        (STOPPED, ReflashResult.STOPPED),
        (NOTHING_NEWER, ReflashResult.NOTHING_NEWER),
    )
    for share, result in rare:
        if draw < share:
            return result
        draw -= share
    return ReflashResult.COMPLETED


def _road_test(case: Case, rng: Random) -> RoadTest:
    """A concern that nobody saw before cannot be said to be gone."""
    if case.duplicated is not Duplicated.YES:
        return RoadTest.CANNOT_SAY
    shows = rng.random() < ROAD_TEST_SHOWS
    return RoadTest.STILL_THERE if not case.cures and shows else RoadTest.GONE


def _session(attempt: Attempt, desk: Desk) -> Programmed:
    desk.events += 1
    case, shop = attempt.case, desk.shop
    modules = _modules(attempt, desk)
    recovery = 60 if attempt.result is ReflashResult.RECOVERED else 0
    draft = ProgrammingEventDraft(
        modules=modules,
        performed_on=attempt.day,
        minutes=desk.rng.randint(25, 55) * len(modules) + recovery,
        duplicated_before=case.duplicated,
        road_test=attempt.road_test,
        other_work=attempt.other_work,
        who_was_called="" if attempt.result in _QUIET else "manufacturer's programming line",
    )
    make, unit = case.car.vehicle.make, desk.rng.randrange(2)
    told = Programmed(
        key=f"event {desk.events}",
        draft=draft,
        updates=(attempt.note.number,) * len(modules),
        concerns=((case.concern,),) * len(modules),
    )
    if attempt.subscription is None:
        return replace(told, draft=replace(draft, way=Way.MOBILE, minutes=None))
    return replace(
        told,
        device=shop.devices[1 if make == "Hespar" else 0].name,
        computer=shop.computers[1 if make == "Brell" else 0].name,
        support_unit=shop.support_units[unit].name,
        subscription=attempt.subscription.key,
    )


def _modules(attempt: Attempt, desk: Desk) -> tuple[ModuleResult, ...]:
    """One result a module, in the bulletin's order; after a module that fails no further one is begun."""
    car, goes_in = attempt.case.car, attempt.result in _INSTALLED
    steps = [step for step in attempt.note.steps if car.calibrations[step.module] in step.old_ids]
    done = []
    for place, step in enumerate(steps if goes_in else steps[:1]):
        result = attempt.result if place == 0 else ReflashResult.COMPLETED
        after = desk.garage.newest(car, step.module, attempt.day) if goes_in else ""
        error = "" if result in _QUIET else desk.rng.choice(_ERRORS)
        number = cvn(after) if after else ""
        before = car.calibrations[step.module]
        done.append(
            ModuleResult(
                step.module,
                result,
                None,
                before,
                after,
                number,
                error,
                calibration_source=CalibrationSource.READ,
                cvn_before=cvn(before),
            )
        )
    return tuple(done)


def together(first: Programmed, second: Programmed) -> Programmed | None:
    """One event for two lines of a repair order, where day, road test and what was seen agree."""
    one, two = first.draft, second.draft
    same = (one.way, one.performed_on, one.duplicated_before, one.road_test, one.other_work) == (
        two.way,
        two.performed_on,
        two.duplicated_before,
        two.road_test,
        two.other_work,
    )
    if not same or {m.module for m in one.modules} & {m.module for m in two.modules}:
        return None
    draft = replace(one, modules=one.modules + two.modules, minutes=(one.minutes or 0) + (two.minutes or 0))
    return replace(
        first, draft=draft, updates=first.updates + second.updates, concerns=first.concerns + second.concerns
    )
