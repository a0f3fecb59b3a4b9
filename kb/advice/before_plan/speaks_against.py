"""What a bulletin says against its own remedy, and whether that is met: by a finding, or by what was said.

It is never a reason for: an entry that is not met tells nothing beyond its check's own evidence.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace

from kb.nouns.advice import Against, CandidateInHand, CheckDefinition, CheckInHand
from kb.nouns.concerns import FindingResult
from kb.nouns.notes import SpeaksAgainst
from kb.nouns.recorded_words import result_word

SAID = "the complaint"


def result_against(check: CheckDefinition) -> FindingResult:
    """The result that speaks against: yes, save where by its guess a yes is more usual of a cure.

    So "about 60 ohms" speaks for a network update, and the note that names that check is met by NOT 60.
    """
    toward = check.yes_if_cured.k > check.yes_if_not.k
    return FindingResult.NO if toward else FindingResult.YES


def answered_by_words(
    check: CheckInHand, entries: Iterable[SpeaksAgainst], said: Collection[str]
) -> CheckInHand:
    """The check as the complaint answers it, where it says what an entry of the check says.

    `said` are the texts of entries that the words meet. A finding, also one that could not tell, is better
    than words and stands.
    """
    if check.result is not FindingResult.NOT_DONE or check.answered_already:
        return check
    met = (one.says for one in entries if one.check == check.definition.key and one.says in said)
    text = next(met, "")
    return by_words(check, text) if text else check


def by_words(check: CheckInHand, text: str) -> CheckInHand:
    """The check as the words answer it, against the update; `text` is what they say."""
    return replace(check, result=result_against(check.definition), by_words=text)


def met_against(candidate: CandidateInHand, checks: Mapping[str, CheckInHand]) -> tuple[Against, ...]:
    """What of the candidate's note is met, with what met it; `checks` by key.

    Of entries that one check stands for it gives the one that the words met, or the first.
    """
    met: dict[str, Against] = {}
    for one in candidate.speaks_against:
        check = checks.get(one.check)
        if check is None or check.result is not result_against(check.definition):
            continue
        if one.check not in met or one.says == check.by_words:
            met[one.check] = Against(one.says, _met_by(check))
    return (*met.values(), *candidate.words_against)


def _met_by(check: CheckInHand) -> str:
    if check.by_words:
        return SAID
    return f"{check.definition.name}: {result_word(check.definition, check.result)}"
