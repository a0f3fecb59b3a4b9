"""A long text without what people write around a complaint."""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import replace

from kb.search.phrases import Phrase
from kb.search.typed import JOINING_STEMS, MOST_LETTERS, MOST_WORDS, TypedWord
from kb.words.normalise import words
from kb.words.paperwork import LONG, paperwork


def without_paperwork(text: str, typed: Sequence[TypedWord]) -> list[TypedWord]:
    """A long text without the phrases of its paperwork, its other paperwork and figures idle; a short one as
    it is.
    """
    said = words(text[:MOST_LETTERS])[:MOST_WORDS]
    if len(said) <= LONG:
        return list(typed)
    around = paperwork()
    gone = around.places(said)
    return [
        replace(word, idle=word.word in around.words or word.word.isdigit())
        for word in typed
        if word.unit not in gone
    ]


def without_chance(phrases: Sequence[Phrase], typed: Sequence[TypedWord]) -> list[Phrase]:
    """Of a text with idle words, the phrases that are meant: neither of idle words alone nor with words in
    between, which much text makes up by chance ("started on", "off ... away on").
    """
    idle = {word.unit for word in typed if word.idle}
    if not idle:
        return list(phrases)
    idle |= {word.unit for word in typed if word.stem in JOINING_STEMS}
    return [phrase for phrase in phrases if phrase.together and _is_meant(phrase, idle)]


def _is_meant(phrase: Phrase, idle: Set[int]) -> bool:
    """Whether a phrase has a word of its own, or is a symptom in several words ("does not work")."""
    symptom = phrase.concept.kind == "symptom" and len(phrase.units) > 1
    return symptom or not idle >= set(phrase.units)
