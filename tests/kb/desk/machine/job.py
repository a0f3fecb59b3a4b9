"""Rules of the main job, each through its use case, and a plain memory of what was told.

What the desk refuses in words changes nothing; what the memory says must be refused has to be.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any

from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from kb.desk.access import trail
from kb.desk.bay.advice import advice
from kb.desk.bay.concern import closing, concerns, facts, findings
from kb.desk.bay.programming import prep, programming, release, sent_out, starting
from kb.desk.calls import what_was_heard
from kb.desk.context import CONSOLE, Desk, RunningShop
from kb.desk.notes import notes
from kb.errors import KbError
from kb.nouns.advice import Verdict
from kb.nouns.bay.sent_out import SentBackDraft, SentOutDraft, SentOutResult
from kb.nouns.concerns import (
    Duplicated,
    Ending,
    FindingResult,
    FollowUpDraft,
    FollowUpResult,
    ModuleResult,
    ProgrammingEventDraft,
    ReflashResult,
    RoadTest,
)
from kb.nouns.shop.ways import Way
from kb.nouns.vehicles import CalibrationReading, CalibrationSource, LookUp
from tests.conftest import StandingClock
from tests.factories import a_concern, an_update
from tests.kb.desk.bay.replayed import kept_and_again
from tests.kb.desk.imports.importing import LEAD
from tests.kb.desk.machine import on_file

CHECKS = ("smoke_test", "fuel_trim")
WHICH = st.integers(0, 3)


@dataclass
class Told:
    """What was told of one concern."""

    faulty_battery: bool = False
    sittings: int = 0
    cured_by: int = 0
    failed_last: bool = False
    out: bool = False
    closed: bool = False
    heard: list[int] = field(default_factory=list)


class Job(RuleBasedStateMachine):
    """`anew` gives a shop as new and its clock; the class of a test sets it."""

    anew: Callable[[], tuple[RunningShop, StandingClock]]

    def __init__(self) -> None:
        super().__init__()
        self.shop, self.clock = type(self).anew()
        self.told: dict[int, Told] = {}

    def done(self, work: Callable[[Desk], Any]) -> Any:
        """What it gave, or None where it was refused in words."""
        try:
            with self.shop.writing(LEAD) as desk:
                return work(desk) or True
        except KbError:
            return None

    def one(self, which: int) -> tuple[int, Told]:
        return list(self.told.items())[which % len(self.told)]

    @initialize()
    def bulletins(self) -> None:
        with self.shop.writing(LEAD) as desk:
            notes.write_note(desk, an_update(codes=("P0171",)))

    @rule(minutes=st.sampled_from([5, 60, 24 * 60, 40 * 24 * 60, -24 * 60]))
    def wait(self, minutes: int) -> None:
        """Back a day now and then, as a clock is set that went wrong."""
        self.clock.move(minutes=minutes)

    @precondition(lambda self: len(self.told) < 4)
    @rule()
    def open(self) -> None:
        made = self.done(lambda desk: concerns.open_concern(desk, a_concern(ro_number=f"R{len(self.told)}")))
        assert made
        self.told[made.id] = Told()

    @precondition(lambda self: self.told)
    @rule(which=WHICH, check=st.sampled_from(CHECKS), result=st.sampled_from(list(FindingResult)))
    def check(self, which: int, check: str, result: FindingResult) -> None:
        concern, _ = self.one(which)
        self.done(lambda desk: findings.put_finding(desk, concern, check, result))

    @precondition(lambda self: self.told)
    @rule(which=WHICH, newest=st.sampled_from(["NV10A", "NV10B"]))
    def look_up(self, which: int, newest: str) -> None:
        concern, _ = self.one(which)
        read = CalibrationReading("PCM", "NV10A", CalibrationSource.READ)
        self.done(lambda desk: facts.put_calibration(desk, concern, read))
        self.done(lambda desk: facts.put_look_up(desk, concern, LookUp("PCM", desk.today, "tech", newest)))

    @precondition(lambda self: self.told)
    @rule(which=WHICH, result=st.sampled_from(["fault", "fine"]))
    def battery(self, which: int, result: str) -> None:
        concern, told = self.one(which)
        if self.done(lambda desk: facts.put_gate(desk, concern, "battery", result)):
            told.faulty_battery = result == "fault"

    @precondition(lambda self: self.told)
    @rule(which=WHICH, reason=st.sampled_from(["", "on a support unit now"]))
    def lift(self, which: int, reason: str) -> None:
        concern, told = self.one(which)
        lifted = self.done(lambda desk: advice.lift_stop(desk, concern, "battery", reason))
        assert not lifted or (reason and told.faulty_battery)
        told.faulty_battery &= not lifted

    @precondition(lambda self: self.told)
    @rule(which=WHICH, did=st.sampled_from(["reflash", "keep_diagnosing"]))
    def advise(self, which: int, did: str) -> None:
        """No stop is out-voted, and chances are chances; what is decided replays to the same."""
        concern, told = self.one(which)
        said = self.done(lambda desk: advice.give_advice(desk, concern))
        assert said
        assert not told.faulty_battery or said.verdict is Verdict.CHECK_FIRST
        assert all(0 <= one.chance <= 1 for one in said.candidates)
        decided = self.done(lambda desk: advice.decide(desk, concern, did, "because"))
        if decided:
            with self.shop.reading(LEAD) as desk:
                frozen, again = kept_and_again(desk, decided)
            assert frozen == again

    @precondition(lambda self: self.told)
    @rule(which=WHICH)
    def start(self, which: int) -> None:
        """Pass every line that blocks, and begin: never past an open stop."""
        concern, told = self.one(which)

        def begin(desk: Desk) -> None:
            for item in prep.prep_list(desk, concern).blocking:
                prep.pass_over(desk, concern, item.line.key, "borrowed one")
            starting.start(desk, concern, confirmed=True)

        assert not (self.done(begin) and (told.faulty_battery or told.failed_last))

    @precondition(lambda self: self.told)
    @rule(which=WHICH, result=st.sampled_from(["completed", "completed", "stopped", "recovered"]))
    def program(self, which: int, result: str) -> None:
        concern, told = self.one(which)
        after = "NV10B" if result == "completed" else ""
        module = ModuleResult(
            "PCM",
            ReflashResult(result),
            1,
            calibration_after=after,
            calibration_source=CalibrationSource.READ,
            error_text="lost communication" if result == "stopped" else "",
            concern_ids=(concern,),
        )
        draft = ProgrammingEventDraft((module,), self.shop.facts.day_of(self.clock()))
        if not self.done(lambda desk: programming.record_event(desk, draft, done_twice=True)):
            return
        told.sittings += 1
        told.cured_by += result != "stopped"  # a recovered module has its new calibration
        told.failed_last = result == "stopped"

    @precondition(lambda self: self.told)
    @rule(which=WHICH, result=st.sampled_from(list(RoadTest)))
    def road_test(self, which: int, result: RoadTest) -> None:
        concern, told = self.one(which)
        tested = self.done(lambda desk: programming.record_road_test(desk, concern, result, Duplicated.YES))
        assert bool(tested) <= bool(told.cured_by)

    @precondition(lambda self: self.told)
    @rule(which=WHICH, reason=st.sampled_from(["", "the glass shop does it on Monday"]))
    def let_go(self, which: int, reason: str) -> None:
        """No vehicle is released that was not programmed, nor with lines open and no reason."""
        concern, told = self.one(which)
        with self.shop.reading(LEAD) as desk:
            still_open = release.release_list(desk, concern).open_lines
        released = self.done(lambda desk: release.release_vehicle(desk, concern, reason, customer_told=True))
        assert not released or (told.sittings and (reason or not still_open))

    @precondition(lambda self: self.told)
    @rule(which=WHICH, result=st.sampled_from(list(FollowUpResult)), ago=st.integers(0, 30))
    def hear(self, which: int, result: FollowUpResult, ago: int) -> None:
        """A failure opens a concern again that its reflash was said to have cured."""
        concern, told = self.one(which)
        day = self.shop.facts.day_of(self.clock()) - timedelta(ago)
        draft = FollowUpDraft(result, day)
        if heard := self.done(lambda desk: what_was_heard.record_follow_up(desk, concern, draft)):
            told.heard.append(heard)
        told.closed = self.is_closed(concern)

    @precondition(lambda self: self.told)
    @rule(which=WHICH)
    def undo_what_was_heard(self, which: int) -> None:
        _, told = self.one(which)
        if told.heard and self.done(lambda desk: what_was_heard.take_back(desk, told.heard[-1])):
            told.heard.pop()

    @precondition(lambda self: self.told)
    @rule(which=WHICH)
    def send_out(self, which: int) -> None:
        concern, told = self.one(which)
        draft = SentOutDraft(Way.MOBILE, "PCM", 1, "Lenz", 18_000, why_not="no bench here")
        if self.done(lambda desk: sent_out.send_out(desk, concern, draft)):
            assert not told.out
            assert not told.closed
            assert not told.faulty_battery
            told.out = True

    @precondition(lambda self: any(one.out for one in self.told.values()))
    @rule(which=WHICH, result=st.sampled_from(["programmed", "nothing_done", "taken_back"]))
    def come_back(self, which: int, result: str) -> None:
        concern, told = self.one(which)
        if result == "taken_back":
            back = self.done(lambda desk: sent_out.take_back(desk, concern))
        else:
            module = ModuleResult("PCM", ReflashResult.COMPLETED, 1, concern_ids=(concern,))
            modules = (module,) if result == "programmed" else ()
            day = self.shop.facts.day_of(self.clock())
            draft = SentBackDraft(
                SentOutResult(result), day, modules, "as told", duplicated_before=Duplicated.YES
            )
            back = self.done(lambda desk: sent_out.tell_result(desk, concern, draft))
        if back:
            assert told.out
            told.out = False
            told.sittings += result == "programmed"
            told.cured_by += result == "programmed"
            told.failed_last &= result != "programmed"

    @precondition(lambda self: self.told)
    @rule(which=WHICH, ending=st.sampled_from([Ending.CURED_BY_REFLASH, Ending.OTHER_CAUSE]))
    def close(self, which: int, ending: Ending) -> None:
        """An update cured nothing that was never programmed; what is out is not closed."""
        concern, told = self.one(which)
        if self.done(lambda desk: closing.close_concern(desk, concern, ending, other_cause="hose")):
            assert told.closed or not told.out
            assert told.cured_by or ending is not Ending.CURED_BY_REFLASH
            told.closed = True

    @precondition(lambda self: self.told)
    @rule(which=WHICH)
    def reopen(self, which: int) -> None:
        concern, told = self.one(which)
        if self.done(lambda desk: closing.reopen_concern(desk, concern)):
            told.closed = False

    def is_closed(self, concern: int) -> bool:
        with self.shop.reading(LEAD) as desk:
            return concerns.on_file(desk, concern).concern.state == "closed"

    @invariant()
    def nothing_is_lost_and_each_counts_once(self) -> None:
        with self.shop.reading(CONSOLE) as desk:
            assert on_file.closed(desk) == {one: told.closed for one, told in self.told.items()}
            assert on_file.sittings(desk) == {
                one: told.sittings for one, told in self.told.items() if told.sittings
            }
            assert on_file.installed(desk) == {
                one: told.cured_by for one, told in self.told.items() if told.cured_by
            }
            assert on_file.heard(desk) == sorted(heard for told in self.told.values() for heard in told.heard)
            assert on_file.counted_once(desk)

    def teardown(self) -> None:
        """The trail hangs together, and the shop goes out and in again as it is."""
        with self.shop.reading(CONSOLE) as desk:
            check = trail.check_trail(desk)
        assert check.holds, check.says
        on_file.goes_out_and_in(self.shop, self.clock())
