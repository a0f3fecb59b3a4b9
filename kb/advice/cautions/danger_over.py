"""Whether a danger that is told is over: repaired since, or only spoken of in a letter."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from kb.advice.cautions.danger_words import GOES_ON, ONLY_TOLD, PAST, REPAIRED, SETTLED, WELL
from kb.advice.cautions.word_patterns import Place
from kb.search.spoken import Spoken

_RIGHT_BEHIND = 2
_SOON = 14  # words after it, in as many clauses, in which its end is told
_CLAUSES = 2
_TOLD_BEFORE = 8


def is_over(said: Spoken, match: Sequence[Place], places: Mapping[str, Sequence[Place]]) -> bool:
    """Such as "gas leak fixed last week" or "overheated in May, pump replaced, fine since".

    What went away by itself is not over, nor what is told to go on after it: "replaced, still smells".
    """
    first, last = min(start for start, _ in match), max(end for _, end in match)
    if _is_only_told(said, first, places):
        return True
    if _after(said, places, GOES_ON, last, len(said.words)):
        return False
    repaired = _after(said, places, REPAIRED, last, _SOON)
    return bool(_after(said, places, SETTLED, last, _RIGHT_BEHIND)) or bool(
        repaired and (_after(said, places, WELL, last, _SOON) or _was_long_ago(places, first, repaired[0]))
    )


def _after(
    said: Spoken, places: Mapping[str, Sequence[Place]], name: str, last: int, within: int
) -> list[int]:
    clause = said.words[last].clause
    return [
        start
        for start, _ in places.get(name, ())
        if 0 < start - last <= within and said.words[start].clause - clause <= _CLAUSES
    ]


def _was_long_ago(places: Mapping[str, Sequence[Place]], first: int, repaired: int) -> bool:
    """Whether a time gone by is told with the danger; behind the repair it tells since when it is so."""
    return any(first - _RIGHT_BEHIND - 1 <= start < repaired for start, _ in places.get(PAST, ()))


def _is_only_told(said: Spoken, first: int, places: Mapping[str, Sequence[Place]]) -> bool:
    """Such as "recall letter about brakes": in the same clause before it."""
    return any(
        0 < first - end <= _TOLD_BEFORE and said.words[end].clause == said.words[first].clause
        for _, end in places.get(ONLY_TOLD, ())
    )
