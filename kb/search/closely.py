"""The few likely notes looked at closely: what of the terms asked for each holds, and what it is about.

What can be read for all of them at once is; their very words are read one by one, and only of those that
concepts do not tell about and that hold all the words.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from kb.search.about import Asked, Told
from kb.search.ranking import Postings, first_told_and_impact
from kb.search.snapshot import Part, Snapshot


class Close(NamedTuple):
    """What one note holds of the terms asked for: by term the first place (-1: none), whether it is told, and
    its impact.
    """

    firsts: Sequence[int]
    told: Sequence[bool]
    impacts: Sequence[float]


def looked_at(table: Sequence[Postings], notes: Sequence[int]) -> Iterable[tuple[int, Close]]:
    """What some notes of one part hold of the terms, whose postings in it are the `table`."""
    found = first_told_and_impact(table, np.array(notes, dtype=np.int32))
    rows = zip(*(array.T.tolist() for array in found), strict=True)
    return zip(notes, (Close(*row) for row in rows), strict=True)


def qualifying_of(snapshot: Snapshot, part: Part, note: int, close: Close, asked: Asked) -> tuple[int, ...]:
    """Why a note is about what was typed; none where it is not."""
    if not asked.symptoms:
        return ()
    names = frozenset(at for at in asked.looked_for if close.firsts[at] >= 0)
    told = Told(names, frozenset(at for at in names if close.told[at]), int(part.systems[note]))
    by_concept = asked.qualifying(told)
    if by_concept:
        return by_concept
    literally = _literally(snapshot, part, note, close, asked, told.tells)
    return asked.qualifying(replace(told, tells=told.tells | literally)) if literally else ()


def _literally(
    snapshot: Snapshot, part: Part, note: int, close: Close, asked: Asked, tells: frozenset[int]
) -> frozenset[int]:
    """What of the loosely typed the note tells in these very words though no concept does; plain words only
    where there is a symptom that they may speak for.
    """
    places = [
        at
        for at, words in asked.loose.items()
        if at not in tells and all(close.firsts[word] >= 0 for word in words)
    ]
    symptoms = [at for at in places if at in asked.symptoms and _tells(snapshot, part, note, asked, at)]
    if not symptoms and tells.isdisjoint(asked.symptoms):
        return frozenset()
    plain = (at for at in places if at in asked.plain and _tells(snapshot, part, note, asked, at))
    return frozenset((*symptoms, *plain))


def _tells(snapshot: Snapshot, part: Part, note: int, asked: Asked, at: int) -> bool:
    return part.segment.tells_words(note, _stems(snapshot, asked, at))


def _stems(snapshot: Snapshot, asked: Asked, at: int) -> list[int | None]:
    """The numbers of the stems of one thing asked for, as it was typed."""
    return [
        snapshot.vocabulary.stem_number(one) for one in asked.terms[at].stems or (asked.terms[at].key[1],)
    ]
