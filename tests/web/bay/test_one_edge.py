"""Verdict, sentence and strip speak of one edge: for random concerns none speaks against another."""

from __future__ import annotations

import re
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from kb.advice.advise import advise
from kb.advice.chances.learn import learn
from kb.nouns.advice import Advice, AdviceSettings, CheckInHand, CostSettings, Guess, Verdict
from tests.kb.advice.makers import candidate, check, in_hand
from web import chance_pictures

FEW_IN_ZONES = AdviceSettings(draws=20, zone_checks=2, quickest_first=True)
KINDS = {Verdict.REFLASH: "reflash", Verdict.KEEP_DIAGNOSING: "keep", Verdict.CHECK_FIRST: "check"}
tenths = st.floats(0.0, 10.0)
asked = st.tuples(tenths, tenths, st.floats(2.0, 40.0), st.sampled_from([0.0, 0.0, 600.0]))


@st.composite
def advised(draw: st.DrawFn) -> Advice:
    """Advice by more checks than the zones weigh, at random prices, on one update or two."""
    told = draw(st.lists(asked, max_size=4))
    checks = tuple(
        check(f"c{i}", up, down, minutes=minutes, wait_minutes=wait)
        for i, (up, down, minutes, wait) in enumerate(told)
    )
    start = replace(FEW_IN_ZONES, starting=Guess(draw(st.floats(1.0, 9.0)), 4.0))
    notes = tuple(range(1, draw(st.integers(1, 2)) + 1))
    costs = CostSettings(diagnosis_minutes=draw(st.floats(20.0, 400.0)), waiting_rate=5.0)
    hand = in_hand(
        tuple(candidate(n) for n in notes), tuple(CheckInHand(one, notes) for one in checks), costs=costs
    )
    return advise(hand, learn((), checks, start), start)


def _said(before: str, sentence: str) -> int | None:
    """The tenths said after these words, if any."""
    found = re.search(before + r" (?:(less) than 1|(more) than 9|(\d)) in 10", sentence)
    return None if found is None else 0 if found[1] else 10 if found[2] else int(found[3])


@settings(max_examples=80, deadline=None)
@given(advised())
def test_the_words_and_the_picture_never_speak_against_the_verdict(said: Advice) -> None:
    assert said.plan is not None
    named = [one for one in said.candidates if str(one.note) == said.plan.key]
    lead = named[0] if named else max(said.candidates, key=lambda one: one.chance)
    picture = chance_pictures.strip(lead.chance, lead.interval, lead.zones)
    here = [z.kind for z in picture.zones if z.left <= picture.chance <= z.left + z.width]
    assert KINDS[said.verdict] in here
    chance = int(10 * lead.chance + 0.5)
    for sentence in (lead.sentence, picture.spoken):
        upper, lower = _said("eflash from", sentence), _said("eep diagnosing below", sentence)
        match said.verdict:
            case Verdict.REFLASH:
                assert upper is None or upper < chance
                assert "below" not in sentence
            case Verdict.KEEP_DIAGNOSING:
                assert lower is None or chance < lower
                assert "from" not in sentence
                assert "above" not in sentence
            case _:
                assert upper is None or chance < upper
                assert lower is None or lower < chance
