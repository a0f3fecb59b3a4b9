"""The words of a complaint, put right, and the lexicon phrases they make up."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from kb.words.lexicon import Concept, Lexicon, Stems
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
    """A typed word as read; `unit` is its place among the typed words, `others` are further readings."""

    typed: str
    word: str
    stem: str
    likeness: float
    unit: int
    others: tuple[tuple[str, float], ...] = ()

    @property
    def tells(self) -> bool:
        """Whether it is looked for by itself, not only inside a phrase."""
        return self.stem not in JOINING_STEMS and self.word not in SILENT


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


def phrases_in(typed: Sequence[TypedWord], lexicon: Lexicon) -> list[Phrase]:
    """Every lexicon phrase in what was typed, once for each concept it may mean."""
    spans = list(_spans(typed, lexicon))
    units = [frozenset(typed[at].unit for at in places) for places, _, _ in spans]
    things = {
        unit: all(lexicon.concepts[name].kind in THINGS for name in names)
        for unit, (_, _, names) in zip(units, spans, strict=True)
    }
    longer = {unit: [other for other in units if unit < other] for unit in set(units)}
    return [
        replace(phrase, inside_part=bool(longer[unit]) and all(things[other] for other in longer[unit]))
        for (places, stems, names), unit in zip(spans, units, strict=True)
        for phrase in _phrases(
            typed, places, [lexicon.concepts[name] for name in names], stems, bool(longer[unit])
        )
    ]


def _spans(
    typed: Sequence[TypedWord], lexicon: Lexicon
) -> Iterable[tuple[list[int], Stems, tuple[str, ...]]]:
    """(places, phrase, concepts it may mean) of every lexicon phrase in what was typed."""
    for start, first in enumerate(typed):
        for stems, concepts in lexicon.starting_with(first.stem):
            places = _match(typed, start, stems)
            if places:
                yield places, stems, concepts


def _run_together(typed: str, readings: Sequence[Reading]) -> bool:
    return len(readings) == 2 and readings[0].word + readings[1].word == typed


def _match(typed: Sequence[TypedWord], start: int, stems: Stems) -> list[int]:
    """Places of a phrase's words from `start` on, or none."""
    places, at, skipped = [start], start + 1, 0
    for part in stems[1:]:
        while at < len(typed) and typed[at].stem != part and skipped <= SKIPPED:
            skipped += typed[at].stem not in JOINING_STEMS
            at += 1
        if skipped > SKIPPED or at >= len(typed):
            return []
        places.append(at)
        at += 1
    return places


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
