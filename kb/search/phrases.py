"""The words of a complaint, put right, and the lexicon phrases they make up."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from kb.words.lexicon import Concept, Lexicon, Stems
from kb.words.negators import NEGATORS
from kb.words.normalise import JOINING, SILENT, stem, words
from kb.words.spelling import Reading, Speller

MOST_LETTERS = 4_000
MOST_WORDS = 60
"""What is typed beyond these is not read."""
SKIPPED = 1  # how many telling words may stand inside a typed phrase; joining words may always
PER_WORD_BETWEEN = 0.85  # a phrase counts this much less for each word in between
THINGS = frozenset({"part", "system", "lamp"})
JOINING_STEMS = frozenset(map(stem, JOINING))


@dataclass(frozen=True, slots=True)
class TypedWord:
    """A typed word as read; `unit` is its place among the typed words, `others` are further readings.

    Of a text that holds a no, `clause` counts the clauses, `either` says that an "or" stands before the word,
    and `denied` are words said not to be so, with the noes that say it.
    """

    typed: str
    word: str
    stem: str
    likeness: float
    unit: int
    others: tuple[tuple[str, float], ...] = ()
    clause: int = 0
    either: bool = False
    denied: bool = False

    @property
    def tells(self) -> bool:
        """Whether it is looked for by itself, not only inside a phrase."""
        return not self.denied and self.stem not in JOINING_STEMS and self.word not in SILENT


class Span(NamedTuple):
    """A lexicon phrase at these places among the typed words, and the ids of the concepts it may mean."""

    places: list[int]
    stems: Stems
    concepts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Phrase:
    """A lexicon phrase in what was typed.

    `shared` counts the concepts that the same phrase may mean; `inside` says that a longer phrase holds it.
    """

    concept: Concept
    stems: Stems
    typed: str
    read_as: str
    units: tuple[int, ...]
    likeness: float
    shared: int
    inside: bool
    inside_part: bool = False

    @property
    def itself(self) -> bool:
        """Whether it says by itself what was meant.

        A symptom does unless it is part of another saying ("blank" in "dash goes blank" is no such part: a
        dash is a thing); a thing does where its words mean nothing else.
        """
        if self.concept.kind == "symptom":
            return not self.inside or self.inside_part
        return not self.inside and self.shared == 1


def read_words(text: str, speller: Speller) -> tuple[list[TypedWord], list[tuple[str, str]]]:
    """The typed words as read, and the corrections made (typed, read as)."""
    found: list[TypedWord] = []
    corrections: list[tuple[str, str]] = []
    for unit, typed in enumerate(words(text[:MOST_LETTERS])[:MOST_WORDS]):
        if typed in SILENT:
            continue
        readings = speller.read(typed)
        if _run_together(typed, readings):
            found.extend(TypedWord(typed, r.word, stem(r.word), r.likeness, unit) for r in readings)
            corrections.append((typed, " ".join(reading.word for reading in readings)))
            continue
        best, others = readings[0], tuple((r.word, r.likeness) for r in readings[1:])
        found.append(TypedWord(typed, best.word, stem(best.word), best.likeness, unit, others))
        if best.word != typed:
            corrections.append((typed, best.word))
    return found, corrections


def phrases_in(typed: Sequence[TypedWord], spans: Sequence[Span], lexicon: Lexicon) -> list[Phrase]:
    """Every lexicon phrase that is said and not denied, once for each concept it may mean."""
    found = [span for span in spans if not _is_denied(typed, span.places)]
    units = [frozenset(typed[at].unit for at in span.places) for span in found]
    things = {
        unit: all(lexicon.concepts[name].kind in THINGS for name in span.concepts)
        for unit, span in zip(units, found, strict=True)
    }
    longer = {unit: [other for other in units if unit < other] for unit in set(units)}
    return [
        replace(phrase, inside_part=bool(longer[unit]) and all(things[other] for other in longer[unit]))
        for (places, stems, names), unit in zip(found, units, strict=True)
        for phrase in _phrases(
            typed, places, [lexicon.concepts[name] for name in names], stems, bool(longer[unit])
        )
    ]


def spans(typed: Sequence[TypedWord], lexicon: Lexicon) -> list[Span]:
    """Every lexicon phrase in what was typed, denied or not."""
    return [
        Span(places, stems, concepts)
        for start, first in enumerate(typed)
        for stems, concepts in lexicon.starting_with(first.stem)
        for places in (_match(typed, start, stems),)
        if places
    ]


def _is_denied(typed: Sequence[TypedWord], places: Sequence[int]) -> bool:
    """A phrase with a no of its own ("no codes") stands or falls with that no, any other with its words."""
    noes = [at for at in places if typed[at].word in NEGATORS]
    return any(typed[at].denied for at in noes or places)


def _run_together(typed: str, readings: Sequence[Reading]) -> bool:
    return len(readings) == 2 and readings[0].word + readings[1].word == typed


def _match(typed: Sequence[TypedWord], start: int, stems: Stems) -> list[int]:
    """Places of a phrase's words from `start` on, or none.

    Behind its no stand only joining words, or what shares that no ("no audio or chimes").
    """
    places, at, skipped, most = [start], start + 1, 0, SKIPPED
    for part in stems[1:]:
        if typed[places[-1]].word in NEGATORS:
            skipped, most = 0, 0
        while at < len(typed) and typed[at].stem != part and skipped <= most:
            shares = most == 0 and at + 1 < len(typed) and typed[at + 1].either
            skipped += typed[at].stem not in JOINING_STEMS and not shares
            at += 1
        if skipped > most or at >= len(typed):
            return []
        places.append(at)
        at += 1
    parted = typed[places[0]].clause != typed[places[-1]].clause
    return [] if parted and any(typed[at].word in NEGATORS for at in places) else places


def _phrases(
    typed: Sequence[TypedWord], places: Sequence[int], concepts: Sequence[Concept], stems: Stems, inside: bool
) -> Iterable[Phrase]:
    part = [typed[at] for at in places]
    whole = typed[places[0] : places[-1] + 1]
    as_typed = " ".join(dict.fromkeys(word.typed for word in whole))
    read_as = " ".join(word.word for word in whole)
    units = tuple(dict.fromkeys(word.unit for word in part))
    likeness = min(word.likeness for word in part) * PER_WORD_BETWEEN ** (len(whole) - len(part))
    for concept in concepts:
        yield Phrase(concept, stems, as_typed, read_as, units, likeness, len(concepts), inside)
