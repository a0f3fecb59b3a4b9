"""The few likely notes looked at closely: what of the terms asked for each holds, and what it is about.

What can be read for all of them at once is; their very words are read one by one, and only of those that
concepts do not tell about and that hold all the words.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from kb.search.about import Asked, Told
from kb.search.ranking import Postings, first_told_and_impact, held_at
from kb.search.snapshot import Part, Snapshot


@dataclass(frozen=True, slots=True)
class Close:
    """What one note holds of the terms asked for: by term the first place (-1: none) and whether it is told;
    of what is loosely typed (`Asked.loose`), whether it holds all the words; and the impact of each term.
    """

    firsts: Sequence[int]
    told: Sequence[bool]
    words: Sequence[bool]
    impacts: Sequence[float]


def looked_at(
    snapshot: Snapshot, part: Part, table: Sequence[Postings], notes: Sequence[int], asked: Asked
) -> Iterable[tuple[int, Close]]:
    """What some notes of one part hold of the terms, whose postings in it are the `table`."""
    numbers = np.array(notes, dtype=np.int32)
    firsts, told, impacts = first_told_and_impact(table, numbers)
    words = np.ones((len(notes), len(asked.loose)), dtype=np.bool_)
    for column, at in enumerate(asked.loose):
        for stem in _stems(snapshot, asked, at):
            postings = part.segment.word_postings(stem)
            words[:, column] &= held_at(postings, numbers)[1] if len(postings) else False
    rows = zip(firsts.T.tolist(), told.T.tolist(), words.tolist(), impacts.T.tolist(), strict=True)
    return zip(notes, (Close(*row) for row in rows), strict=True)


def qualifying_of(snapshot: Snapshot, part: Part, note: int, close: Close, asked: Asked) -> tuple[int, ...]:
    """Why a note is about what was typed; none where it is not."""
    if not asked.symptoms:
        return ()
    names = frozenset(at for at, place in enumerate(close.firsts) if place >= 0)
    told = Told(names, frozenset(at for at in names if close.told[at]), int(part.systems[note]))
    by_concept = asked.qualifying(told)
    if by_concept:
        return by_concept
    literally = frozenset(
        at
        for at, held in zip(asked.loose, close.words, strict=True)
        if held and at not in told.tells and part.segment.tells_words(note, _stems(snapshot, asked, at))
    )
    return asked.qualifying(replace(told, tells=told.tells | literally)) if literally else ()


def _stems(snapshot: Snapshot, asked: Asked, at: int) -> list[int | None]:
    """The numbers of the stems of one thing asked for, as it was typed."""
    return [
        snapshot.vocabulary.stem_number(one) for one in asked.terms[at].stems or (asked.terms[at].key[1],)
    ]
