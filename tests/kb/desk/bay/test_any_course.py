"""Any course of a shop's work: what the database counts is what is read one by one, and nothing is stale.

Drawn steps of everything that changes an outcome, in any order: opening, programming, joining a sitting, road
tests, what is heard, put right and taken back, closing and opening again, odometers, imports, undos, merges.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

import pytest
from sqlmodel import select

from kb.desk.bay.concern import closing, concerns
from kb.desk.bay.outcomes import counted
from kb.desk.bay.outcomes.counted import EVERYTHING
from kb.desk.bay.outcomes.observed import stories_of
from kb.desk.bay.programming import programming, sittings
from kb.desk.calls import answers_here, call_list, what_answers_moved, what_was_heard
from kb.desk.context import Desk, RunningShop
from kb.desk.imports.import_undo import undo_import
from kb.desk.notes import merging_notes, notes
from kb.desk.review import money_report
from kb.desk.review.reports import ReportFilter
from kb.errors import KbError
from kb.nouns.concerns import (
    FAILED,
    Duplicated,
    Ending,
    FollowUpDraft,
    FollowUpResult,
    HowHeard,
    ModuleResult,
    ProgrammingEventDraft,
    ReflashResult,
    RoadTest,
    SaidHere,
)
from kb.nouns.outcomes import WindowRule
from kb.records.tables import ConcernRow, FollowUpRow, Outcome, ProgrammingEvent, Reflash
from tests.conftest import StandingClock
from tests.factories import a_concern, a_vehicle, an_update
from tests.kb.desk.bay.slow_stories import renew_slowly, stories_slowly
from tests.kb.desk.bay.test_counted import how_failed_slowly, how_heard_slowly, slow
from tests.kb.desk.imports.importing import LEAD, history, take
from tests.kb.outcomes.test_story import groups

VINS = ("1G4AH59H45G118341", "1G4AH59H45G118341", "")
RENEWED = (
    *("counted_as", "reflashed_day", "reflashed_month", "event_kind", "event_day", "heard_day"),
    "comeback_cost_minor",
)


@dataclass
class Course:
    shop: RunningShop
    clock: StandingClock
    rng: random.Random
    jobs: list[int] = field(default_factory=list)
    rows: list[dict[str, str]] = field(default_factory=list)

    def step(self) -> None:
        """One step; what the desk refuses in words, or what there is nothing for, changes nothing."""
        outside: list[Callable[[], object]] = [*[self.wait] * 4, self.bring_in, self.undo]
        at_desk = [open_one, open_one, program, program, program, join, hear, hear, hear, hear, put_right]
        at_desk += [put_right, take_back, close, reopen, road_test, correct, correct, promise, merge]
        at_desk += [answer_at_a_visit] * 3
        chosen = self.rng.randrange(len(outside) + len(at_desk))
        try:
            if chosen < len(outside):
                outside[chosen]()
                return
            with self.shop.writing(LEAD) as desk:
                at_desk[chosen - len(outside)](desk, self.rng)
        except (KbError, IndexError):
            pass

    def wait(self) -> None:
        self.clock.move(days=self.rng.randint(1, 60))

    def bring_in(self) -> None:
        self.rows += [a_row(self.rng, self.clock) for _ in range(self.rng.randint(1, 4))]
        told = [self.rng.choice(self.rows) for _ in range(4)]
        told.append(self.rng.choice(self.rows) | {"returned_on": "", "event": "came back"})
        self.jobs.append(take(self.shop, "history", history(*told)).id)

    def undo(self) -> None:
        job = self.rng.choice(self.jobs)
        undo_import(self.shop, LEAD, job)
        self.jobs.remove(job)


def a_row(rng: random.Random, clock: StandingClock) -> dict[str, str]:
    base = clock().date() - timedelta(rng.randint(0, 90))

    def some_day() -> str:
        return "" if rng.random() < 0.4 else str(base + timedelta(rng.randint(-5, 150)))

    return {
        "ro_number": str(rng.randint(1, 4)),
        "line": rng.choice("AB"),
        "vin": rng.choice(VINS),
        "year": "2005",
        "update": rng.choice(["NV-24-101", "B-2", ""]),
        "opened_on": str(base),
        "reflashed_on": str(base),
        "gone_at_road_test": rng.choice(["yes", "no", ""]),
        "returned_on": some_day(),
        "last_seen_on": some_day(),
        "other_cause": rng.choice(["", "", "hose"]),
        "event": rng.choice(["", "came back", "sold", "new complaint"]),
        "cost": rng.choice(["", "25"]),
        "heard": rng.choice(["", "unasked", "asked"]),
    }


def one_of(desk: Desk, rng: random.Random, column: Any) -> int:
    return int(rng.choice(sorted(desk.session.execute(select(column)).scalars())))


def open_one(desk: Desk, rng: random.Random) -> None:
    draft = a_concern(
        ro_number=str(rng.randint(100, 105)),
        line=rng.choice("ABCD"),
        vehicle=a_vehicle(year=2005, vin=rng.choice(VINS)),
        usual_gap_days=rng.choice([None, None, 20, 50]),
        odometer=rng.choice([None, 50_000]),
        opened_on=desk.today - timedelta(rng.randint(0, 100)),
    )
    concerns.open_concern(desk, draft)


def program(desk: Desk, rng: random.Random) -> None:
    served = tuple({one_of(desk, rng, ConcernRow.id) for _ in range(rng.choice([1, 1, 2]))})
    results = [ReflashResult.COMPLETED, ReflashResult.COMPLETED, ReflashResult.STOPPED]
    modules = tuple(
        ModuleResult(name, rng.choice(results), rng.choice([1, 1, 2, None]), concern_ids=served)
        for name in rng.choice([("PCM",), ("TCM",), ("PCM", "TCM")])
    )
    programming.record_event(desk, a_sitting(desk, rng, modules), done_twice=rng.random() < 0.5)


def a_sitting(desk: Desk, rng: random.Random, modules: tuple[ModuleResult, ...]) -> ProgrammingEventDraft:
    return ProgrammingEventDraft(
        modules,
        desk.today - timedelta(rng.randint(0, 60)),
        road_test=rng.choice(list(RoadTest)),
        duplicated_before=rng.choice(list(Duplicated)),
        other_work=rng.choice([(), (), ("plugs",)]),
    )


def join(desk: Desk, rng: random.Random) -> None:
    module = ModuleResult(
        rng.choice(["PCM", "TCM"]),
        ReflashResult.COMPLETED,
        1,
        concern_ids=(one_of(desk, rng, ConcernRow.id),),
    )
    sittings.join_sitting(desk, one_of(desk, rng, ProgrammingEvent.id), a_sitting(desk, rng, (module,)))


def said(desk: Desk, rng: random.Random) -> FollowUpDraft:
    result = rng.choice(list(FollowUpResult))
    return FollowUpDraft(
        result,
        desk.today - timedelta(rng.choice([0, 0, rng.randint(0, 120)])),
        rng.choice([None, None, 51_000, 54_000]),
        cost_minor=rng.choice([None, 900]),
        day_known=result not in FAILED or rng.random() < 0.5,
        heard=rng.choice(list(HowHeard)),
    )


def hear(desk: Desk, rng: random.Random) -> None:
    what_was_heard.record_follow_up(desk, one_of(desk, rng, Outcome.concern_id), said(desk, rng))


def answer_at_a_visit(desk: Desk, rng: random.Random) -> None:
    visit, earlier = one_of(desk, rng, ConcernRow.id), one_of(desk, rng, Outcome.concern_id)
    answers_here.answer_here(desk, visit, earlier, rng.choice(list(SaidHere)))


def put_right(desk: Desk, rng: random.Random) -> None:
    follow_up = one_of(desk, rng, FollowUpRow.id)
    version = what_was_heard.read_follow_up(desk, follow_up).version
    what_was_heard.correct_follow_up(desk, follow_up, version, said(desk, rng))


def take_back(desk: Desk, rng: random.Random) -> None:
    what_was_heard.take_back(desk, one_of(desk, rng, FollowUpRow.id))


def close(desk: Desk, rng: random.Random) -> None:
    ending = rng.choice(list(Ending))
    closing.close_concern(desk, one_of(desk, rng, ConcernRow.id), ending, other_cause="hose")


def reopen(desk: Desk, rng: random.Random) -> None:
    closing.reopen_concern(desk, one_of(desk, rng, ConcernRow.id))


def road_test(desk: Desk, rng: random.Random) -> None:
    concern = one_of(desk, rng, Outcome.concern_id)
    programming.record_road_test(desk, concern, rng.choice(list(RoadTest)), rng.choice(list(Duplicated)))


def correct(desk: Desk, rng: random.Random) -> None:
    held = concerns.on_file(desk, one_of(desk, rng, ConcernRow.id))
    draft = a_concern(
        ro_number=held.repair_order.number,
        line=held.concern.line,
        vehicle=a_vehicle(year=2005, vin=held.vehicle.vin),
        odometer=rng.choice([None, 50_000, 50_500]),
        usual_gap_days=rng.choice([None, 20]),
    )
    concerns.change_concern(desk, held.concern.id or 0, held.concern.version, draft)


def promise(desk: Desk, rng: random.Random) -> None:
    on = desk.today + timedelta(rng.randint(0, 40))
    call_list.promise_call(desk, one_of(desk, rng, Outcome.concern_id), on)


def merge(desk: Desk, rng: random.Random) -> None:
    if rng.random() < 0.5:
        merging_notes.merge_notes(desk, 1, 2)


def every_concern(desk: Desk) -> list[int]:
    return sorted(one or 0 for one in desk.session.execute(select(ConcernRow.id)).scalars())


def as_renewed(desk: Desk) -> dict[int, tuple[Any, ...]]:
    installed = desk.session.execute(select(Outcome).where(Outcome.installed)).scalars()
    return {one.id or 0: tuple(getattr(one, name) for name in RENEWED) for one in installed}


def recorded_costs(desk: Desk, as_of: date) -> int:
    """What every follow-up up to that day says that a failure cost, save those of no reflash before it."""
    money = money_report.money_report(desk, ReportFilter(as_of=as_of))
    heard = desk.session.execute(select(FollowUpRow.result, FollowUpRow.seen_on, FollowUpRow.cost_minor))
    everything = sum(
        cost or 0 for result, day, cost in heard if result in ("came_back", "other_cause") and day <= as_of
    )
    by_words = {one.what: one.amount_minor for one in money}
    assert by_words[money_report.ALL_COMEBACKS] == everything
    return everything - by_words.get(money_report.OF_NO_REFLASH, 0)


def tries(shop: RunningShop, as_of: date) -> int:
    """Sittings, updates and concerns that went together by that day."""
    with shop.reading(LEAD) as desk:
        query = (
            select(Outcome.concern_id, Outcome.update_id, Reflash.event_id)
            .join(Reflash, Reflash.id == Outcome.reflash_id)  # type: ignore[arg-type]
            .where(Outcome.installed, Outcome.reflashed_on <= as_of)
        )
        return len(set(desk.session.execute(query)))


@pytest.mark.parametrize("seed", range(4))
def test_after_any_course_of_work_counts_and_dates_are_as_if_made_anew(
    shop: RunningShop, clock: StandingClock, seed: int
) -> None:
    rng = random.Random(seed)
    with shop.writing(LEAD) as desk:
        for number in ("NV-24-101", "B-2"):
            notes.write_note(desk, an_update(number=number))
    course, most = Course(shop, clock, rng), 0
    for step in range(60):
        course.step()
        if step % 4 == 0:
            with shop.reading(LEAD) as desk:
                as_of = desk.today - timedelta(rng.choice([0, rng.randint(0, 150)]))
                rule = WindowRule(rng.choice([90, rng.randint(1, 120)]))
                fast = counted.count(desk, as_of, rule)
                expected, costs = slow(desk, as_of, rule, EVERYTHING)
                failed = how_failed_slowly(desk, as_of, rule, EVERYTHING)
                heard = how_heard_slowly(desk, as_of, rule)
                recorded = recorded_costs(desk, as_of)
                told = [
                    what_answers_moved.moved_today(desk, one) for one in stories_of(desk, every_concern(desk))
                ]
            assert groups(fast.counts) == groups(expected)
            assert fast.costs.by_update == costs
            assert fast.costs.by_kind == failed
            assert fast.heard == heard
            assert sum(costs.values()) == recorded
            assert int(fast.counts.count.sum()) == tries(shop, as_of)
            assert all(0 < chance < 1 for one in told if one for chance in (one.before, one.now))
            most = max(most, tries(shop, as_of))
    with shop.writing(LEAD) as desk:
        before = as_renewed(desk)
        concern_ids = every_concern(desk)
        slow_stories = {one: tuple(stories_slowly(desk, one)) for one in concern_ids}
        assert stories_of(desk, concern_ids) == {one: told for one, told in slow_stories.items() if told}
        for one in concern_ids:
            renew_slowly(desk, one)
        desk.session.flush()
        desk.session.expire_all()
        assert as_renewed(desk) == before
    assert most
