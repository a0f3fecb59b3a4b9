"""Advice from many vehicles not heard of, frozen and worked out again."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
from pydantic import TypeAdapter

from kb.advice.advise import advise
from kb.advice.chances.learn import Learned, learn
from kb.advice.frozen_advice import FrozenInputs, freeze, replay
from kb.nouns.advice import AdviceSettings, CheckInHand, InWindow
from kb.outcomes.silence import Silence, nothing_counted
from tests.kb.advice.makers import candidate, check, in_hand, past

SETTINGS = AdviceSettings()
INPUTS = TypeAdapter(FrozenInputs)


def with_silent(silent: int, silence: Silence | None = None) -> Learned:
    """Thirty answers and so many vehicles free when last seen on one of ninety days."""
    known = [past(i, 1 if i % 3 else None) for i in range(30)]
    waiting = [
        past(100 + i, None, answer_known=False, in_window=(InWindow(1, i % 90, i % 90),), reflashed=(1,))
        for i in range(silent)
    ]
    return learn([*known, *waiting], (), SETTINGS, silence=silence)


@pytest.mark.parametrize("silent", [20, 200, 20_000])
def test_advice_from_any_number_of_silent_vehicles_replays_from_a_small_json_to_the_same_numbers(
    silent: int,
) -> None:
    learned = with_silent(silent)
    concern = in_hand((candidate(1), candidate(2)))
    kept = json.dumps(INPUTS.dump_python(freeze(concern, learned, SETTINGS), mode="json"))
    assert len(kept) < 20_000
    assert replay(INPUTS.validate_json(kept)) == advise(concern, learned, SETTINGS)


def test_inputs_frozen_with_one_window_a_vehicle_still_replay() -> None:
    """As decisions were kept before equal windows were counted: every vehicle's share on its own."""
    learned = with_silent(40)
    concern = in_hand((candidate(1),))
    kept = INPUTS.dump_python(freeze(concern, learned, SETTINGS), mode="json")
    starts = [kept, *kept["further"]]
    for records in (one[name] for one in starts for name in ("records", "carried")):
        for record in records.values():
            counts = record.pop("vehicles")
            record["in_window"] = [
                v for v, n in zip(record["in_window"], counts, strict=True) for _ in range(n)
            ]
    again, first = replay(INPUTS.validate_python(kept)), advise(concern, learned, SETTINGS)
    assert again.candidates[0].chance == pytest.approx(first.candidates[0].chance, abs=1e-12)
    assert again.candidates[0].interval == pytest.approx(first.candidates[0].interval, abs=1e-9)


def test_inputs_frozen_before_installed_updates_were_kept_still_replay() -> None:
    learned, concern = with_silent(20), in_hand((candidate(1),))
    kept = INPUTS.dump_python(freeze(concern, learned, SETTINGS), mode="json")
    assert kept["concern"].pop("installed") == []
    assert replay(INPUTS.validate_python(kept)) == advise(concern, learned, SETTINGS)


def test_inputs_frozen_while_the_share_told_unasked_stood_at_its_mean_still_replay() -> None:
    """Five values of that share are frozen; before they were mixed it was one, with one record an update."""
    concern = in_hand((candidate(1),))
    assert len(freeze(concern, with_silent(20), SETTINGS).further) == 4
    silence = nothing_counted(SETTINGS.window_days)
    learned = with_silent(20, replace(silence, told=np.array([silence.mean_told])))
    kept = INPUTS.dump_python(freeze(concern, learned, SETTINGS), mode="json")
    assert kept.pop("further") == []
    assert replay(INPUTS.validate_python(kept)) == advise(concern, learned, SETTINGS)


def test_inputs_frozen_before_waiting_had_a_price_replay_by_the_rule_of_that_day() -> None:
    """Of equal checks the least counted was taken, not the quickest; waiting cost nothing."""
    slow, quick = check("slow", 0.5, 9.0, wait_minutes=600.0), check("quick", 0.5, 9.0)
    rule = replace(SETTINGS, quickest_first=True)
    concern = in_hand((candidate(1),), (CheckInHand(slow, (1,)), CheckInHand(quick, (1,))))
    learned = learn((), (slow, quick), rule)
    kept = INPUTS.dump_python(freeze(concern, learned, rule), mode="json")
    kept["settings"].pop("quickest_first")
    kept["concern"]["costs"].pop("waiting_rate")
    for name in ("leaves_today", "to_settle", "faults"):
        kept["concern"].pop(name)
    for one in kept["concern"]["checks"]:
        one["definition"].pop("repair")
    assert advise(concern, learned, rule).steps[0].key == "quick"
    again = replay(INPUTS.validate_python(kept))
    assert again == advise(concern, learned, replace(rule, quickest_first=False))
    assert again.steps[0].key == "slow"
