"""The few likely notes looked at closely: what of the terms asked for each holds, and what it is about.

What can be read for all of them at once is; their very words are read one by one, and only of those that
concepts do not tell about and that hold all the words.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from kb.search.about import Asked, Told
from kb.search.ranking import Holdings
from kb.search.snapshot import Part, Snapshot


class Close(NamedTuple):
    """What one note, a column of some looked at together, holds of the terms asked for: `holds` says by term
    whether any of it.
    """

    together: Holdings
    column: int
    holds: Sequence[bool]

    @classmethod
    def of(cls, together: Holdings, column: int) -> Close:
        return cls(together, column, together.any[:, column].tolist())

    @property
    def impacts(self) -> list[float]:
        impacts: list[float] = self.together.impacts[:, self.column].tolist()
        return impacts

    def tells(self, at: int) -> bool:
        """Whether the note tells a term where it says what it is about."""
        return self.holds[at] and self.together.told(at, self.column)


def qualifying_of(snapshot: Snapshot, part: Part, note: int, close: Close, asked: Asked) -> tuple[int, ...]:
    """Why a note is about what was typed; none where it is not."""
    if not asked.symptoms:
        return ()
    names = frozenset([at for at in asked.looked_for if close.holds[at]])
    told = Told(names, frozenset([at for at in names if close.tells(at)]), int(part.systems[note]))
    by_concept = asked.qualifying(told)
    if by_concept:
        return by_concept
    literally = _literally(snapshot, part, note, close, asked, told.tells)
    return asked.qualifying(told._replace(tells=told.tells | literally)) if literally else ()


def _literally(
    snapshot: Snapshot, part: Part, note: int, close: Close, asked: Asked, tells: frozenset[int]
) -> frozenset[int]:
    """What of the loosely typed the note tells in these very words though no concept does; plain words only
    where there is a symptom that they may speak for.
    """
    places = [
        at
        for at, words in asked.loose.items()
        if at not in tells and all(close.holds[word] for word in words)
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
