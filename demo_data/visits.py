"""What happens in the bay: gates, findings, the decision and the programming event."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta
from random import Random

from demo_data.cars import Garage, cvn
from demo_data.cases import Case
from demo_data.shop import Shop, Subscription
from demo_data.story import (
    Authorized,
    Bought,
    Decided,
    Found,
    GateSettled,
    LookedUp,
    Opened,
    Programmed,
    StoryEvent,
    What,
)
from demo_data.truth import (
    DIAGNOSIS_FINDS,
    LEFT_UNDONE,
    MODULE_LOST,
    NOTHING_NEWER,
    OTHER_WORK,
    RECOVERED,
    ROAD_TEST_SHOWS,
    STOPPED,
    UPDATES,
)
from kb.nouns.concerns import (
    Duplicated,
    Finding,
    FindingResult,
    ModuleResult,
    ProgrammingEventDraft,
    ReflashResult,
    RoadTest,
)
from kb.nouns.vehicles import LookUp

_WORK = ("plugs replaced", "battery replaced", "codes cleared, adaptives reset", "connector reseated")
_GATES = ("battery", "codes_saved", "recall_checked", "warranty_checked", "module_original")
_ERRORS = ("Session ended: no answer from module", "Transfer stopped at 61 %", "Security access refused")
_INSTALLED = (ReflashResult.COMPLETED, ReflashResult.RECOVERED)


@dataclass(slots=True)
class Desk:
    """What the shop has at hand while the story is told: equipment, running subscriptions, chance."""

    shop: Shop
    garage: Garage
    rng: Random
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


def visit(case: Case, desk: Desk) -> Sitting:
    """From the intake to the release or to the other cause."""
    rng = desk.rng
    told = [_event(case, case.opened_on, Opened(case.concern, case.draft)), *_settle(case, desk)]
    told += [_event(case, case.opened_on, Found(case.concern, one)) for one in _findings(case, rng)]
    if case.family.key != "stop_start" and rng.random() < LEFT_UNDONE:
        return Sitting(tuple(told), case.opened_on, left=True)
    told.append(_event(case, case.opened_on, _authorization(case, rng)))
    update = UPDATES.get(case.opened_number)
    at_once = update is not None and rng.random() < update.reflash_first
    finds = rng.random() < DIAGNOSIS_FINDS
    if update is None or (not at_once and not case.cures and finds):
        day = case.opened_on + timedelta(days=rng.randrange(3))
        told.append(
            _event(case, case.opened_on, Decided(case.concern, "keep_diagnosing", case.opened_number))
        )
        return Sitting(tuple(told), day, cause_found=finds)
    day = case.opened_on + timedelta(days=0 if at_once else rng.randrange(3))
    reason = "customer insists" if at_once and rng.random() < 0.2 else ""
    told.append(_event(case, day, Decided(case.concern, "reflash", case.opened_number, reason)))
    return _program(case, desk, day, told)


def _event(case: Case, day: date, what: What) -> StoryEvent:
    return StoryEvent(day, case.technician, what)


def _settle(case: Case, desk: Desk) -> list[StoryEvent]:
    """Gates that were looked at, and the look-up by VIN where an update was considered."""
    day = case.opened_on
    told = [
        _event(case, day, GateSettled(case.concern, gate, True))
        for gate in _GATES
        if desk.rng.random() < (0.8 if gate in ("battery", "codes_saved") else 0.55)
    ]
    if case.considered and desk.rng.random() < 0.7:
        module = case.considered.steps[0].module
        newest = desk.garage.newest(case.car, module, day)
        told.append(StoryEvent(day, "lead", LookedUp(case.concern, LookUp(module, day, "lead", newest))))
    return told


def _findings(case: Case, rng: Random) -> list[Finding]:
    """Four to seven of the family's checks, as they truly come out; a few cannot be done."""
    checks = list(case.family.checks)
    done = set(rng.sample(checks, min(len(checks), rng.randint(4, 7))))
    found = []
    for key in checks:
        if key in done:
            result = FindingResult.YES if case.latent[key] else FindingResult.NO
            found.append(Finding(key, result))
        elif rng.random() < 0.06:
            found.append(Finding(key, rng.choice((FindingResult.INCONCLUSIVE, FindingResult.NOT_DONE))))
    return found


def _authorization(case: Case, rng: Random) -> Authorized:
    return Authorized(
        case.concern,
        rng.randrange(12_000, 40_000, 500),
        "customer",
        rng.choice(("by phone", "in person", "by text message")),
        rng.choice(("charge stands", "credited", "no charge")),
    )


def _program(case: Case, desk: Desk, day: date, told: list[StoryEvent]) -> Sitting:
    subscription, bought = desk.subscription(case.car.vehicle.make, day)
    if bought:
        told.append(_event(case, day, Bought(subscription)))
    other = (desk.rng.choice(_WORK),) if desk.rng.random() < OTHER_WORK else ()
    result = _result(case, desk.rng)
    if result is ReflashResult.STOPPED:
        told.append(
            _event(case, day, _session(case, desk, day, result, subscription, (), RoadTest.CANNOT_SAY))
        )
        result = ReflashResult.COMPLETED
    installed = result in _INSTALLED
    road_test = _road_test(case, desk.rng) if installed else RoadTest.CANNOT_SAY
    programmed = _session(case, desk, day, result, subscription, other, road_test)
    told.append(_event(case, day, programmed))
    if installed:
        for one in programmed.draft.modules:
            case.car.calibrations[one.module] = one.calibration_after
    return Sitting(
        tuple(told),
        day,
        tried=True,
        installed=installed,
        module_lost=result is ReflashResult.MODULE_LOST,
        road_test=road_test,
        other_work=bool(other),
    )


def _result(case: Case, rng: Random) -> ReflashResult:
    certain = case.family.key == "stop_start"
    failures = (0, 0, 0, 0) if certain else (RECOVERED, MODULE_LOST, STOPPED, NOTHING_NEWER)
    rest = 1 - sum(failures)
    kinds = (
        ReflashResult.COMPLETED,
        ReflashResult.RECOVERED,
        ReflashResult.MODULE_LOST,
        ReflashResult.STOPPED,
        ReflashResult.NOTHING_NEWER,
    )
    return rng.choices(kinds, (rest, *failures))[0]


def _road_test(case: Case, rng: Random) -> RoadTest:
    if case.duplicated is not Duplicated.YES:
        return RoadTest.CANNOT_SAY
    shows = rng.random() < ROAD_TEST_SHOWS
    return RoadTest.STILL_THERE if not case.cures and shows else RoadTest.GONE


def _session(
    case: Case,
    desk: Desk,
    day: date,
    result: ReflashResult,
    subscription: Subscription,
    other_work: tuple[str, ...],
    road_test: RoadTest,
) -> Programmed:
    assert case.considered is not None  # noqa: S101 - only considered updates are programmed
    desk.events += 1
    modules = _modules(case, desk, day, result)
    rng = desk.rng
    minutes = rng.randint(25, 55) * len(modules) + (60 if result is ReflashResult.RECOVERED else 0)
    trouble = result in (ReflashResult.RECOVERED, ReflashResult.MODULE_LOST, ReflashResult.STOPPED)
    draft = ProgrammingEventDraft(
        modules=modules,
        performed_on=day,
        minutes=minutes,
        duplicated_before=case.duplicated,
        road_test=road_test,
        other_work=other_work,
        who_was_called="manufacturer's programming line" if trouble else "",
    )
    hespar = case.car.vehicle.make == "Hespar"
    return Programmed(
        key=f"event {desk.events}",
        draft=draft,
        updates=tuple(case.considered.number for _ in modules),
        concerns=tuple((case.concern,) for _ in modules),
        device=desk.shop.devices[1 if hespar else 0].name,
        computer=desk.shop.computers[1 if case.car.vehicle.make == "Brell" else 0].name,
        support_unit=desk.shop.support_units[rng.randrange(2)].name,
        subscription=subscription.key,
    )


def _modules(case: Case, desk: Desk, day: date, result: ReflashResult) -> tuple[ModuleResult, ...]:
    """One result a module, in the bulletin's order; after a module that fails no further one is begun."""
    assert case.considered is not None  # noqa: S101 - only considered updates are programmed
    done = []
    for step in case.considered.steps:
        before = case.car.calibrations[step.module]
        if before not in step.old_ids:
            continue
        goes_in = result in _INSTALLED
        after = desk.garage.newest(case.car, step.module, day) if goes_in else ""
        error = (
            ""
            if result in (ReflashResult.COMPLETED, ReflashResult.NOTHING_NEWER)
            else desk.rng.choice(_ERRORS)
        )
        number = cvn(after) if after else ""
        done.append(ModuleResult(step.module, result, None, before, after, number, error))
        if not goes_in:
            break
        result = ReflashResult.COMPLETED
    return tuple(done)
