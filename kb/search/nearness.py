"""Where the words of a complaint stand to one another: what is near a symptom, in it, or only felt."""

from __future__ import annotations

from collections.abc import Sequence

from kb.search.reading import Spot, Term
from kb.search.typed import NUMBERS
from kb.words.concepts import Concept
from kb.words.negators import FINE


def gap(one: Spot, other: Spot) -> int:
    """How many words apart two places are; 0 where they share one."""
    return max(one.begins - other.ends, other.begins - one.ends, 0)


def in_question(term: Term, concept: Concept) -> tuple[Spot, ...]:
    """Where a thing is neither only compared with, said to be right, nor where something is felt."""
    felt = concept.reach == "felt"
    return tuple(
        spot
        for spot in term.spots
        if not (spot.word.compared or spot.word.fine or (felt and spot.word.placed and not spot.word.source))
    )


def is_within(thing: Term, symptom: Term) -> bool:
    """Whether a thing was typed only as a part of the symptom's own words ("battery dead")."""
    return all(
        any(fault.begins <= spot.begins and spot.ends <= fault.ends for fault in symptom.spots)
        for spot in thing.spots
    )


def is_scrap(thing: Term, symptom: Term) -> bool:
    """Whether a thing is only picked from several words of the symptom ("speeds up, backs off")."""
    return len(thing.stems) > 1 and is_within(thing, symptom)


def same_words(one: Term, other: Term) -> bool:
    """Whether two things were typed with the same word, which means both ("needles")."""
    return not {spot.begins for spot in one.spots}.isdisjoint(spot.begins for spot in other.spots)


def plain(terms: Sequence[Term]) -> tuple[int, ...]:
    """Words typed as they stand that no concept takes in; figures and praise tell nothing."""
    return tuple(
        at
        for at, term in enumerate(terms)
        if term.key[0] == "word" and term.itself and term.typed == term.read_as and _tells(term.typed)
    )


def _tells(word: str) -> bool:
    return word.isalpha() and word not in NUMBERS and word not in FINE
