"""How a reflash turned out at the road test, by the words after it."""

from __future__ import annotations

import re

from kb.intake.history.corrections.clauses import Clause
from kb.intake.history.corrections.said_words import FILE, words
from kb.nouns.concerns import RoadTest

_SAID = FILE["outcome"]
_GONE, _NOT_GONE = words(_SAID["gone"]), words(_SAID["not_gone"])
_NO_CODES, _DRIVEN = words(_SAID["no_codes"]), words("{drive}")
_WELL = words(_SAID["well"])
_GOOD = words("(?:all )?(?:okay|good|fine|perfect|great|smooth|smoothly|pass(?:ed|es)?)")
_OF_A_PART = words("{own}")
_BEHIND = re.compile(r"\b(?:after|following|post|once|with)\b")

_FEW = 6
Outcome = tuple[RoadTest, tuple[int, int]]


def outcome_after(clauses: tuple[Clause, ...], place: int) -> Outcome | None:
    """What is told behind a place of the words read, and where; that it is still there goes before all.

    "No misfire after reflash" tells it before.
    """
    found: list[Outcome] = []
    before = ""
    for clause in clauses:
        if clause.end <= place:
            continue
        begin = max(clause.start, place)
        head, said = clause.words[: begin - clause.start], clause.words[begin - clause.start :]
        led = head if head and _BEHIND.search(head) else ""
        for words_said, start in ((led, clause.start), (said, begin)):
            told = _told(words_said, before, alone=start == clause.start)
            if told:
                found.append((told[0], (start + told[1].start(), start + told[1].end())))
        before = said
    bad = [one for one in found if one[0] is RoadTest.STILL_THERE]
    return next(iter(bad or found), None)


def _told(said: str, before: str, *, alone: bool) -> tuple[RoadTest, re.Match[str]] | None:
    """Of a clause, or where it is not `alone` of the rest of the act's own, in which "okay" is of the act."""
    bad = _NOT_GONE.search(said)
    if bad:
        return RoadTest.STILL_THERE, bad
    good = _GONE.search(said)
    if not good and not _OF_A_PART.search(said):
        good = _WELL.search(said) or (_GOOD.search(said) if alone and len(said.split()) <= _FEW else None)
    if not good and (_DRIVEN.search(said) or _DRIVEN.search(before)):
        good = _NO_CODES.search(said)
    return (RoadTest.GONE, good) if good else None
