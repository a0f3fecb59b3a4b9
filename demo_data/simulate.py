"""Two years of the invented shop, told in time order from one seed."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from random import Random

from demo_data.aftermath import draw_fate, endings, news, truth_of
from demo_data.calendar import newest_day
from demo_data.cars import Car, Garage
from demo_data.cases import Case, Intake, draw_case, model_for, published
from demo_data.families import Family, families, family
from demo_data.notes import load_notes
from demo_data.open_concerns import open_concerns
from demo_data.programming import Desk, together
from demo_data.shop import load_shop
from demo_data.story import (
    Authorized,
    Bought,
    ClockStarted,
    Closed,
    Decided,
    FollowedUp,
    Found,
    GateSettled,
    GoesOut,
    LookedUp,
    NextSaid,
    Opened,
    Programmed,
    Story,
    StoryEvent,
    Truth,
    Waits,
)
from demo_data.visits import ADVISED_DAYS, visit
from kb.nouns.notes import NoteDraft

HISTORY_DAYS = 730
ORDERS = 838
SECOND_LINE = 0.06
QUIET_DAYS = 8
"""The last days before today, kept for the concerns that are still open."""
FIRST_RO = 1235
NOT_OUT_YET = 0.35
"""How often a complaint comes in before its bulletin is out, against afterwards."""
FEW_VEHICLES = (108, 71, 36)
"""Days ago on which the three vehicles of the smallest update come in."""
_ORDER = (
    Opened,
    GateSettled,
    LookedUp,
    Found,
    Authorized,
    ClockStarted,
    NextSaid,
    Waits,
    GoesOut,
    Decided,
    Bought,
    Programmed,
    FollowedUp,
    Closed,
)
_TECHNICIANS = (("tech", 40), ("pim", 35), ("rosa", 25))


def simulate(on: date, seed: int = 2087) -> Story:
    """The whole story as it is told `on` a day, up to the newest day of it, which is its today.

    The same seed gives the same story on every day, moved by whole weeks.
    """
    today = newest_day(on)
    rng = Random(f"{seed}")
    notes = load_notes(today)
    desk = Desk(load_shop(today), Garage(today, rng), rng, today - timedelta(days=ADVISED_DAYS))
    by_number = {note.number: note for note in notes}
    events: list[StoryEvent] = []
    truths: list[Truth] = []
    for ro_number, (day, forced) in enumerate(_arrivals(today, rng), FIRST_RO):
        told = [_tell(case, desk, today) for case in _order(str(ro_number), day, forced, by_number, desk)]
        truths += [truth for _, truth in told]
        events += _one_event([event for some, _ in told for event in some])
    states, still_open = open_concerns(today)
    events += still_open
    kept = sorted((one for one in events if one.day <= today), key=_place)
    return Story(today, seed, desk.shop, notes, tuple(kept), tuple(truths), states)


def _place(event: StoryEvent) -> tuple[date, int]:
    """Days in order, and on one day the order of work in the bay."""
    return event.day, _ORDER.index(type(event.what))


def _arrivals(today: date, rng: Random) -> list[tuple[date, Family | None]]:
    """Working days on which a repair order is written, with the family where it is settled beforehand."""
    days = [today - timedelta(days=ago) for ago in range(QUIET_DAYS, HISTORY_DAYS + 1)]
    working = [day for day in days if day.weekday() < 5]
    drawn: list[tuple[date, Family | None]] = [(rng.choice(working), None) for _ in range(ORDERS)]
    few = [(today - timedelta(days=ago), family("stop_start")) for ago in FEW_VEHICLES]
    return sorted([*drawn, *few], key=lambda one: one[0])


def _order(
    ro_number: str, day: date, forced: Family | None, notes: dict[str, NoteDraft], desk: Desk
) -> list[Case]:
    """One repair order: line A, and now and then line B on the same vehicle."""
    rng = desk.rng
    first = forced or _pick_family(day, notes, rng)
    model = model_for(first, rng)
    updates = published(first, notes, day)
    note = rng.choice(updates) if updates else None
    sure = forced is not None and note is not None
    garage = desk.garage
    car = garage.sure_car(model, note, day) if sure and note else garage.car_for(model, first.key, note, day)
    technician = rng.choices([name for name, _ in _TECHNICIANS], [share for _, share in _TECHNICIANS])[0]
    line_a = Intake(ro_number, "A", day, technician, car, garage.as_known(car))
    cases = [draw_case(first, line_a, updates, garage)]
    if forced is None and rng.random() < SECOND_LINE:
        second = _second_family(first, car, notes, rng)
        cases.append(draw_case(second, replace(line_a, line="B"), published(second, notes, day), garage))
    return cases


def _pick_family(day: date, notes: dict[str, NoteDraft], rng: Random) -> Family:
    choices = [one for one in families() if one.key != "stop_start"]
    weights = [
        one.weight * (1.0 if not one.updates or published(one, notes, day) else NOT_OUT_YET)
        for one in choices
    ]
    return rng.choices(choices, weights)[0]


def _second_family(first: Family, car: Car, notes: dict[str, NoteDraft], rng: Random) -> Family:
    """Another complaint of the same vehicle, about other modules."""
    taken = _modules(first, notes)
    fitting = [
        one
        for one in families()
        if one.key not in (first.key, "stop_start", *car.families)
        and (one.make, one.model) in (("", ""), (car.vehicle.make, car.vehicle.model))
        and not taken & _modules(one, notes)
    ]
    return rng.choice(fitting) if fitting else family("plain")


def _modules(one: Family, notes: dict[str, NoteDraft]) -> set[str]:
    return {step.module for number in one.updates for step in notes[number].steps}


def _one_event(told: list[StoryEvent]) -> list[StoryEvent]:
    """The events of one repair order, with two programming events made one where they can be."""
    sessions = [one for one in told if isinstance(one.what, Programmed)]
    if len(sessions) != 2:
        return told
    first, second = sessions
    if not isinstance(first.what, Programmed) or not isinstance(second.what, Programmed):
        return told
    joined = together(first.what, second.what)
    if joined is None:
        return told
    kept = [one for one in told if one is not first]
    return [replace(one, what=joined) if one is second else one for one in kept]


def _tell(case: Case, desk: Desk, today: date) -> tuple[list[StoryEvent], Truth]:
    sitting = visit(case, desk)
    told = [*sitting.events, *endings(case, sitting, desk.rng)]
    fate = draw_fate(case, sitting, desk.rng) if sitting.installed else None
    if fate and sitting.road_test.value != "still_there":
        told += news(case, sitting, fate, today, desk.rng)
    return told, truth_of(case, sitting, fate, today)
