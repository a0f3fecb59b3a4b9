"""A complaint heard as a shop without notes hears it: the trade's words and those of danger are known."""

from __future__ import annotations

from functools import lru_cache

from kb.advice.cautions.danger_words import Danger, danger_words
from kb.advice.cautions.dangers_told import dangers_in
from kb.search.spoken import spoken
from kb.words.concepts import trade_concepts
from kb.words.lexicon import Lexicon, make_lexicon
from kb.words.spelling import Speller, make_speller


@lru_cache(maxsize=1)
def _ears() -> tuple[Lexicon, Speller]:
    lexicon = make_lexicon(trade_concepts())
    return lexicon, make_speller(dict.fromkeys(danger_words().vocabulary, 5), lexicon.words)


@lru_cache(maxsize=20_000)
def _dangers(text: str) -> tuple[Danger, ...]:
    return dangers_in(spoken(text, *_ears()), danger_words())


def cautions_in(text: str) -> set[str]:
    return {danger.caution for danger in _dangers(text)}


def dangers_named(text: str) -> set[str]:
    return {danger.name for danger in _dangers(text)}
