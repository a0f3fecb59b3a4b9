"""A complaint as it is heard: every word put right, with what is denied and the shop talk in it."""

from __future__ import annotations

from dataclasses import dataclass

from kb.search.denied import heard, words_said
from kb.search.phrases import is_denied
from kb.search.typed import TypedWord, read_words
from kb.words.lexicon import Lexicon
from kb.words.negation import Said
from kb.words.spelling import Speller

SURE = 0.8
"""A spelling that is put right with less likeness than this is not heard as the other word."""


@dataclass(frozen=True, slots=True)
class SpokenWord:
    """One word as typed and as read; `clause` counts commas, "and" and "but" before it."""

    typed: str
    read: str
    clause: int
    denied: bool


@dataclass(frozen=True, slots=True)
class Named:
    """A concept of the lexicon that is said and not denied, from the first to the last of its words."""

    concept: str
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class Spoken:
    words: tuple[SpokenWord, ...]
    named: tuple[Named, ...]


def spoken(text: str, lexicon: Lexicon, speller: Speller) -> Spoken:
    """All words of a complaint in order, small ones included, and the concepts it names."""
    typed, _ = read_words(text, speller)
    told = heard(text, typed, lexicon)
    said, typed_at = words_said(text, told.typed)
    place_of = {at: place for place, at in enumerate(typed_at) if at is not None}
    return Spoken(
        tuple(
            _word(word, None if at is None else told.typed[at])
            for word, at in zip(said, typed_at, strict=True)
        ),
        tuple(
            Named(concept, place_of[span.places[0]], place_of[span.places[-1]])
            for span in told.spans
            if not is_denied(told.typed, span.places)
            for concept in span.concepts
        ),
    )


def _word(said: Said, typed: TypedWord | None) -> SpokenWord:
    if typed is None:
        return SpokenWord(said.typed, said.read, said.clause, denied=False)
    read = said.read if typed.likeness >= SURE else said.typed
    return SpokenWord(said.typed, read, said.clause, typed.denied)
