"""Dead, silent, stop-start: what comes first, in which order, until it is settled. Common practice."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kb.advice.advise import advise
from kb.advice.cautions.silent_vehicle import first_gates, to_settle
from kb.advice.chances.learn import learn
from kb.nouns.advice import AdviceSettings, CheckInHand, StopInHand, StopKind, Verdict
from kb.nouns.bay.first_steps import FoundCause
from kb.nouns.concerns import FindingResult
from tests.kb.advice.makers import OPENED, candidate, check, in_hand

SETTINGS = AdviceSettings(draws=20, quickest_first=True)
POWER = ("support_on", "codes_saved", "battery", "power_ground", "add_ons_out")
WHOLE = ("support_on", "codes_saved", "battery", "port_fuse", "power_ground", "add_ons_out", "gateway")


@pytest.mark.parametrize(
    ("said", "gates", "scanned", "first"),
    [
        ({"no_crank", "communication"}, {}, False, (*WHOLE, "other_car")),
        ({"communication"}, {}, True, ()),
        ({"no_crank"}, {}, True, POWER),
        ({"stall"}, {"communicates": "fault"}, False, (*WHOLE, "other_car")),
        ({"stall"}, {"communicates": "fault"}, True, POWER),
        ({"communication"}, {"communicates": "fine"}, False, ()),
        ({"communication"}, {"calibration_read": "fine"}, False, ()),
        ({"battery_dead"}, {}, False, ()),
        ({"battery_dead", "ev_shutdown"}, {}, False, POWER),
        ({"no_start"}, {}, False, ()),
        ({"auto_stop", "battery_swap"}, {}, True, ("battery_type", "battery_registered", "sensor_learned")),
        ({"auto_stop"}, {}, False, ()),
        ({"surge"}, {}, False, ()),
    ],
)
def test_what_comes_first_by_the_words_and_the_gates(
    said: set[str], gates: dict[str, str], scanned: bool, first: tuple[str, ...]
) -> None:
    assert first_gates(said, gates, scanned=scanned) == first


def test_a_settled_gate_is_left_out_and_a_hybrid_is_no_donor() -> None:
    steps = to_settle({"no_crank", "ev"}, {"battery": "fault"}, scanned=False, make="Tarn")
    assert [one.key for one in steps] == ["support_on", "codes_saved", "power_ground", "add_ons_out"]
    assert steps[0].text == "Put a support unit on at the printed jump points; a hybrid is never a donor"
    silent = to_settle({"communication"}, {}, scanned=False, make="Tarn")
    assert "Register the tool at Tarn's gateway" in [one.text for one in silent]
    assert "hybrid" not in silent[0].text


def test_they_change_the_first_step_and_never_the_chance() -> None:
    plain = in_hand((candidate(),))
    first = to_settle({"no_crank"}, {}, scanned=False, make="Tarn")
    before, after = (
        advise(one, learn((), (), SETTINGS), SETTINGS) for one in (plain, replace(plain, to_settle=first))
    )
    assert (after.verdict, after.steps[0].key, after.steps[0].do) == (
        Verdict.CHECK_FIRST,
        "support_on",
        "settle",
    )
    assert after.sentence.startswith("Check first: Put a support unit on.")
    assert "once that is settled: " in after.candidates[0].sentence
    assert after.candidates[0].chance == before.candidates[0].chance
    assert after.plan == before.plan


def test_an_open_stop_still_comes_first_and_without_updates_it_says_so_too() -> None:
    first = to_settle({"no_crank"}, {}, scanned=False, make="")
    stop = StopInHand(StopKind.BATTERY)
    bare = in_hand((), to_settle=first)
    said = advise(replace(bare, stops=(stop,)), learn((), (), SETTINGS), SETTINGS)
    assert [step.key for step in said.steps[:2]] == ["", "support_on"]
    without = advise(bare, learn((), (), SETTINGS), SETTINGS)
    assert without.verdict is Verdict.CHECK_FIRST
    assert without.sentence == "Check first: Put a support unit on. Nothing on file is about this."


LEAKS = CheckInHand(
    check("smoke", 0.2, 9.0, yes_word="LEAKS", no_word="TIGHT", repair="Repair the leak"),
    (1,),
    FindingResult.YES,
    recorded_at=OPENED,
)


def test_a_finding_that_is_the_cause_leads_to_its_repair_where_diagnosis_would_go_on() -> None:
    learned = learn((), (LEAKS.definition,), SETTINGS)
    unlikely = replace(LEAKS, definition=replace(LEAKS.definition, minutes=0.0))
    said = advise(in_hand((candidate(),), (unlikely,)), learned, SETTINGS)
    assert said.verdict is Verdict.KEEP_DIAGNOSING
    assert [step.do for step in said.steps[:2]] == ["repair", "diagnose"]
    assert said.steps[0].cause == "Repair the leak"
    assert said.steps[0].text == "Smoke: LEAKS. Repair the leak, test again, then close as that cause"
    assert said.sentence.startswith("Keep diagnosing: Smoke: LEAKS. Repair the leak, test again, ")


@pytest.mark.parametrize(
    "other",
    [
        replace(LEAKS, result=FindingResult.NO),
        replace(LEAKS, recorded_at=None, by_words="a split hose"),
        replace(LEAKS, definition=replace(LEAKS.definition, repair="")),
    ],
    ids=["tight", "only said", "no repair known"],
)
def test_what_names_no_fault_leads_to_no_repair(other: CheckInHand) -> None:
    said = advise(in_hand((), (other,)), learn((), (), SETTINGS), SETTINGS)
    assert [step.do for step in said.steps] == ["diagnose"]


def test_of_several_faults_the_last_found_counts_and_a_gate_stands_behind_them() -> None:
    gate = FoundCause("port_fuse", "Check the port's fuse: BLOWN", "blown fuse", "Find why it blew")
    later = replace(
        LEAKS,
        definition=check("drop", 1.0, 3.0, yes_word="TOO HIGH", repair="Repair the ground"),
        recorded_at=OPENED.replace(hour=12),
    )
    learned = learn((), (), SETTINGS)
    both = advise(in_hand((), (later, LEAKS), faults=(gate,)), learned, SETTINGS)
    assert both.steps[0].cause == "Repair the ground"
    alone = advise(in_hand((), faults=(gate,)), learned, SETTINGS)
    assert alone.steps[0].cause == gate.cause
