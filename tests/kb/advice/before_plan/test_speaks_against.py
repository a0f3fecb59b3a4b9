"""What a bulletin says against its remedy is met by a finding or by words, and never a reason for."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kb.advice.before_plan.speaks_against import answered_by_words, met_against, result_against
from kb.nouns.advice import Against, CandidateInHand, CheckDefinition, CheckInHand, Guess
from kb.nouns.concerns import FindingResult
from kb.nouns.notes import Grade, SpeaksAgainst

BUMPS = SpeaksAgainst("It happens over bumps", "bumps")
BUS = SpeaksAgainst("The bus is not near 60 ohms", "bus")
CANDIDATE = CandidateInHand(1, "B-1", "Blank cluster", "IPC", Grade.STRONG, speaks_against=(BUMPS, BUS))
YES, NO, OPEN, UNSURE = (
    FindingResult.YES,
    FindingResult.NO,
    FindingResult.NOT_DONE,
    FindingResult.INCONCLUSIVE,
)


def check(key: str, cured: float, other: float, result: FindingResult = OPEN) -> CheckInHand:
    definition = CheckDefinition(
        key, f"Do {key}", Guess(cured, 4), Guess(other, 4), yes_word="Y", no_word="N"
    )
    return CheckInHand(definition, (1,), result)


def test_yes_speaks_against_save_where_a_yes_is_more_usual_of_a_cure() -> None:
    assert result_against(check("bumps", 1, 5).definition) is YES
    assert result_against(check("equal", 5, 5).definition) is YES
    assert result_against(check("bus", 9, 6).definition) is NO


@pytest.mark.parametrize(
    ("bumps", "bus", "met"),
    [
        (YES, YES, (Against(BUMPS.says, "Do bumps: Y"),)),
        (NO, NO, (Against(BUS.says, "Do bus: N"),)),
        (YES, NO, (Against(BUMPS.says, "Do bumps: Y"), Against(BUS.says, "Do bus: N"))),
        (UNSURE, OPEN, ()),
        (NO, YES, ()),
    ],
)
def test_only_the_result_that_speaks_against_meets_an_entry(
    bumps: FindingResult, bus: FindingResult, met: tuple[Against, ...]
) -> None:
    done = {"bumps": check("bumps", 1, 5, bumps), "bus": check("bus", 9, 6, bus)}
    assert met_against(CANDIDATE, done) == met
    assert met_against(CANDIDATE, {}) == ()


def test_words_answer_a_check_that_nobody_did_and_a_finding_outdoes_them() -> None:
    said = {BUMPS.says, BUS.says}
    by_words = answered_by_words(check("bumps", 1, 5), (BUMPS, BUS), said)
    assert (by_words.result, by_words.by_words, by_words.recorded_at) == (YES, BUMPS.says, None)
    assert answered_by_words(check("bus", 9, 6), (BUMPS, BUS), said).result is NO
    assert met_against(CANDIDATE, {"bumps": by_words}) == (Against(BUMPS.says, "the complaint"),)
    for result in (YES, NO, UNSURE):
        done = check("bumps", 1, 5, result)
        assert answered_by_words(done, (BUMPS,), said) == done
    untouched = check("other", 1, 5)
    assert answered_by_words(untouched, (BUMPS,), said) == untouched
    assert answered_by_words(check("bumps", 1, 5), (BUMPS,), ()).result is OPEN


def test_of_entries_of_one_check_the_one_that_was_said_is_shown_or_the_first() -> None:
    roads = SpeaksAgainst("It happens on rough roads", "bumps")
    both = replace(CANDIDATE, speaks_against=(BUMPS, roads))
    found = met_against(both, {"bumps": check("bumps", 1, 5, YES)})
    assert found == (Against(BUMPS.says, "Do bumps: Y"),)
    said = answered_by_words(check("bumps", 1, 5), both.speaks_against, {roads.says})
    assert met_against(both, {"bumps": said}) == (Against(roads.says, "the complaint"),)
