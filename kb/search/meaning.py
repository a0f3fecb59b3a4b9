"""What a text says, word by word, without looking for anything: for rules that compare two texts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from kb.search.denied import heard
from kb.search.phrases import Phrase, phrases_in
from kb.search.typed import TypedWord, read_words
from kb.words.lexicon import Lexicon
from kb.words.spelling import Speller

ONLY = "only"


@dataclass(frozen=True, slots=True)
class Word:
    """A word that carries meaning: its stem, the concepts of the phrases it belongs to, its place and clause.

    `tells` is false of one that only joins ("no" in "no crank"); `is_fault` says that it tells what is wrong
    with a thing (broken, torn, loose), `is_fine` that a word near it says that nothing is ("fluid level ok").
    """

    place: int
    stem: str
    concepts: frozenset[str]
    clause: int
    tells: bool
    is_fault: bool
    is_fine: bool

    def means(self, other: Word) -> bool:
        """Whether both say one thing, in the same or in other words; of a thing's faults all say one."""
        alike = self.stem == other.stem or not self.concepts.isdisjoint(other.concepts)
        return alike or (self.is_fault and other.is_fault)


@dataclass(frozen=True, slots=True)
class Meaning:
    """`words` are said to be so; `symptoms` are those concepts of theirs.

    `denied` and `only` are concepts, each with the words that say it is not so, or only so ("never warm",
    "only when cold").
    """

    words: tuple[Word, ...]
    symptoms: frozenset[str]
    denied: Mapping[str, str]
    only: Mapping[str, str]

    @property
    def concepts(self) -> frozenset[str]:
        return frozenset(concept for word in self.words for concept in word.concepts)


def _word(word: TypedWord, concepts: set[str], lexicon: Lexicon) -> Word:
    faulty = word.tells and any(lexicon.concepts[name].kind == "cause" for name in concepts)
    return Word(word.unit, word.stem, frozenset(concepts), word.clause, word.tells, faulty, word.fine)


def _is_plain(phrase: Phrase) -> bool:
    """Whether a phrase says what it is about without its part; "jumps" and "bumps" are not one thing."""
    return phrase.ranks or phrase.concept.reach != "general"


def _is_part_of_an_act(phrase: Phrase, phrases: Sequence[Phrase]) -> bool:
    """Whether a word that may tell of a fault is part of something done or when: "battery swap"."""
    own = set(phrase.units)
    acts = (other for other in phrases if other.concept.kind in ("condition", "action"))
    return any(own < set(other.units) for other in acts)


def meaning_of(text: str, lexicon: Lexicon, speller: Speller) -> Meaning:
    """The text read as the search reads what is typed: spelling, shop talk, denials."""
    told = heard(text, read_words(text, speller)[0], lexicon)
    typed = told.typed
    phrases = [one for one in phrases_in(typed, told.spans, lexicon) if one.together and _is_plain(one)]
    concepts: dict[int, set[str]] = {}
    for phrase in phrases:
        if phrase.concept.kind != "cause" or not _is_part_of_an_act(phrase, phrases):
            for unit in phrase.units:
                concepts.setdefault(unit, set()).add(phrase.concept.id)
    meant = tuple(
        _word(word, concepts.get(word.unit, set()), lexicon)
        for word in typed
        if word.tells or (word.unit in concepts and not word.denied)
    )
    denied = {
        name: text_of
        for span in told.spans
        if all(typed[at].denied for at in span.places)
        for text_of in [next((one for one in told.denied if typed[span.places[0]].typed in one.split()), "")]
        for name in span.concepts
        if text_of
    }
    only_at = {word.unit for word in typed if word.word == ONLY and not word.denied}
    only = {
        phrase.concept.id: f"only {phrase.typed}"
        for phrase in phrases
        if only_at & {min(phrase.units) - 1, min(phrase.units) - 2, max(phrase.units) + 1}
    }
    symptoms = frozenset(phrase.concept.id for phrase in phrases if phrase.concept.kind == "symptom")
    return Meaning(meant, symptoms, denied, only)
