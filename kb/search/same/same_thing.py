"""Whether a new complaint is about the same thing as an older one of the same vehicle.

The older complaint is read as a note that tells of nothing else: the rule by which a note is about a
complaint (kb/search/about.py) then says whether the new one names a symptom of it, or a neighbour of one. A
trouble code of both says the same, unless many faults set it. Where the lexicon knows no symptom in the new
one, two plain words of both do. That it is the same vehicle says nothing: most come in for something else.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kb.search.about import Asked, Told
from kb.search.belonging import TELLING, bit_of
from kb.search.reading import Read, Term, read
from kb.search.snapshot import Snapshot
from kb.vehicle.codes import is_general

PLAIN_WORDS = 2


@dataclass(frozen=True, slots=True)
class Complaint:
    """The words of one complaint and its trouble codes."""

    text: str
    codes: tuple[str, ...] = ()


def same_thing(snapshot: Snapshot, now: Complaint, before: Complaint) -> tuple[str, ...]:
    """The words of `now`, as typed, by which it is about the same as `before`; none where it is not."""
    new, old = (_read(snapshot, one) for one in (now, before))
    asked = Asked.of(new.terms, snapshot.lexicon.concepts)
    told = _told(new.terms, Asked.of(old.terms, snapshot.lexicon.concepts))
    places = dict.fromkeys((*asked.qualifying(told), *_codes_of_both(new.terms, told)))
    if not places and not asked.symptoms:
        plain = [at for at in asked.plain if at in told.names]
        places = dict.fromkeys(plain if len(plain) >= PLAIN_WORDS else ())
    return tuple(dict.fromkeys(new.terms[at].typed for at in places))


def _told(new: Sequence[Term], old: Asked) -> Told:
    """What the older complaint tells of the terms of the new one, as if it were a note."""
    own = {term.key for term in old.terms if term.itself or term.through == "code"}
    near = {("concept", name) for at in old.symptoms for name in old.concepts[at].near}
    names = frozenset(at for at, term in enumerate(new) if term.key in own)
    tells = names | {at for at, term in enumerate(new) if term.key in near and term.itself}
    systems = 0
    for concept in old.concepts.values():
        systems |= bit_of(concept) if concept.kind in TELLING else 0
    return Told(names, tells, systems)


def _codes_of_both(new: Sequence[Term], told: Told) -> list[int]:
    coded = [at for at, term in enumerate(new) if term.through == "code" and at in told.names]
    return [at for at in coded if not is_general(new[at].read_as)]


def _read(snapshot: Snapshot, said: Complaint) -> Read:
    return read(said.text, said.codes, snapshot.lexicon, snapshot.speller, snapshot.weights)
