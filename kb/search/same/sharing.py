"""What the notes that are for a vehicle share with a complaint or its modules, however little else they do.

A search leaves out a note that holds too little of what was typed. What stands on the vehicle anyway (its
recalls) is asked here only whether it touches the same thing: it is about the complaint by the very reading
that search and advice go by (kb/search/closely.py), tells of a part that was typed, names a trouble code of
it, or names a module anywhere.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from kb.nouns.vehicles import Vehicle
from kb.search.about import Asked
from kb.search.closely import Close, qualifying_of
from kb.search.ranking import Holdings
from kb.search.reading import HALF_SURE, Read, Term, read
from kb.search.snapshot import Part, Snapshot

_THINGS = frozenset({"part", "lamp"})
Shared = tuple[int, str, tuple[str, ...]]


def sharing(
    snapshot: Snapshot, vehicle: Vehicle, text: str, codes: Sequence[str], modules: Sequence[str]
) -> Iterator[Shared]:
    """(id, kind, words shared) of the notes for a vehicle on record that share anything."""
    complaint = _Sought.in_complaint(snapshot, text, codes)
    named = [_Sought.module(snapshot, module) for module in modules]
    for part, notes in snapshot.covering(vehicle):
        looked = [one.among(snapshot, part, notes) for one in (complaint, *named)]
        for at, note in enumerate(notes.tolist()):
            words = dict.fromkeys(word for told in looked for word in told[at])
            if words:
                yield (*part.identity(note), tuple(words))


class _Sought:
    """The terms of a text, and which of them count where a note tells of them or names them."""

    def __init__(self, snapshot: Snapshot, asked: Read) -> None:
        self.terms = asked.terms
        self.by_itself = Asked.of(asked.terms, snapshot.lexicon.concepts)
        self.told: frozenset[int] = frozenset()
        self.named: frozenset[int] = frozenset()

    @classmethod
    def in_complaint(cls, snapshot: Snapshot, text: str, codes: Sequence[str]) -> _Sought:
        sought = cls(snapshot, _read(snapshot, text, codes))
        things = sought.by_itself.concepts.items()
        sought.told = frozenset(at for at, one in things if one.kind in _THINGS and one.system)
        sought.named = frozenset(at for at, term in enumerate(sought.terms) if term.through == "code")
        return sought

    @classmethod
    def module(cls, snapshot: Snapshot, module: str) -> _Sought:
        """What means this very module, not any; a name of one word counts as a word too."""
        sought = cls(snapshot, _read(snapshot, module, ()))
        words = [at for at, term in enumerate(sought.terms) if term.through == "as typed"]
        known = [at for at, term in enumerate(sought.terms) if _is_one_module(snapshot, term)]
        sought.named = frozenset((*known, *words) if len(words) == 1 else known)
        return sought

    def among(self, snapshot: Snapshot, part: Part, notes: NDArray[np.int32]) -> list[list[str]]:
        """For each of some notes of a part, the typed words that it shares."""
        table = [snapshot.postings(part, term.key) for term in self.terms]
        together = Holdings.of(table, notes)
        return [
            self._words(snapshot, part, note, Close.of(together, column))
            for column, note in enumerate(notes.tolist())
        ]

    def _words(self, snapshot: Snapshot, part: Part, note: int, close: Close) -> list[str]:
        places = {at for at in self.told if close.tells(at)}
        places.update(at for at in self.named if close.holds[at])
        places.update(qualifying_of(snapshot, part, note, close, self.by_itself))
        return [self.terms[at].typed for at in sorted(places)]


def _is_one_module(snapshot: Snapshot, term: Term) -> bool:
    """Whether a term is what the name itself may mean, and a thing of one system."""
    kind, name = term.key
    concept = snapshot.lexicon.concepts.get(name) if kind == "concept" else None
    return concept is not None and bool(concept.system) and term.certainty > HALF_SURE


def _read(snapshot: Snapshot, text: str, codes: Sequence[str]) -> Read:
    return read(text, codes, snapshot.lexicon, snapshot.speller, snapshot.weights)
