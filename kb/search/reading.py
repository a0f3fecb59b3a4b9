"""A complaint read: which words and concepts it names, through which correction or lexicon entry."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass, replace
from types import MappingProxyType

from kb.search.ranking import Weights
from kb.words.lexicon import Concept, Lexicon, Stems
from kb.words.normalise import JOINING, SILENT, codes_in, stem, words
from kb.words.related import related_codes
from kb.words.spelling import Speller

MOST_WORDS = 60  # of a complaint: what is typed beyond is not read
SKIPPED = 1  # how many scored words may stand inside a typed phrase
PER_SKIPPED = 0.85  # a phrase with a word in between counts this much

PLAIN_WORTH, CODE_WORTH = 0.5, 2.0
GRADE_WORTH: Mapping[str, float] = MappingProxyType(
    {
        "symptom": 1.0, "part": 1.0, "system": 0.8, "lamp": 0.8, "vehicle": 0.6, "cause": 0.6,
        "condition": 0.5, "action": 0.4, "filler": 0.2,
    }
)  # fmt: skip
"""What a typed word is worth in grading, by the kind of concept it names. Not tuned: see matching.py."""

Key = tuple[str, str]
"""("word", stem), ("concept", id) or ("code", code)."""


@dataclass(frozen=True, slots=True)
class Term:
    """One thing to look for, how much it counts, and how it came from what was typed."""

    key: Key
    factor: float
    typed: str
    read_as: str
    through: str
    unit: int
    certainty: float = 1.0


@dataclass(frozen=True, slots=True)
class Unit:
    """A typed word that carries meaning; `worth` is its share in grading."""

    typed: str
    worth: float


@dataclass(frozen=True, slots=True)
class Read:
    """A complaint as terms; several terms may come from one unit."""

    terms: tuple[Term, ...]
    units: tuple[Unit, ...]
    corrections: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class _Word:
    typed: str
    word: str
    stem: str
    likeness: float
    unit: int
    others: tuple[tuple[str, float], ...] = ()


def read(text: str, codes: Iterable[str], lexicon: Lexicon, speller: Speller, weights: Weights) -> Read:
    """Read a complaint and its trouble codes. Anything may be typed; what carries nothing gives no terms."""
    read_words, corrections = _read_words(words(text[:4_000])[:MOST_WORDS], speller)
    found = list(_phrases(read_words, lexicon))
    named = {unit for phrase in found for unit in phrase.units}
    terms: dict[Key, Term] = {}
    for term in _word_terms(read_words, named, weights):
        _keep(terms, term, weights.again)
    worth = dict.fromkeys((w.unit for w in read_words if w.stem not in _JOINING_STEMS), PLAIN_WORTH)
    for phrase in found:
        for term in _concept_terms(phrase, lexicon, weights):
            _keep(terms, term, weights.again)
        for unit in phrase.units:
            worth[unit] = max(worth.get(unit, 0.0), GRADE_WORTH[phrase.concept.kind])
    units = {w.unit: Unit(w.typed, worth[w.unit]) for w in read_words if w.unit in worth}
    said = [code.upper() for code in (*codes, *codes_in(text))]
    for number, code in enumerate(dict.fromkeys(filter(None, map(str.strip, said)))):
        unit = -1 - number
        units[unit] = Unit(code, CODE_WORTH)
        for term in _code_terms(code, unit, weights):
            _keep(terms, term, weights.again)
    order = {unit: at for at, unit in enumerate(sorted(units))}
    kept = tuple(replace(t, unit=order[t.unit]) for t in terms.values() if t.unit in order)
    return Read(kept, tuple(units[unit] for unit in sorted(units)), tuple(corrections))


_JOINING_STEMS = frozenset(map(stem, JOINING))


def _keep(terms: dict[Key, Term], term: Term, again: float) -> None:
    """The stronger of two terms for one thing stays; said twice in other words, it counts a bit more."""
    old = terms.get(term.key)
    if old is None:
        terms[term.key] = term
        return
    strong, faint = (term, old) if term.factor > old.factor else (old, term)
    more = again * faint.factor if faint.unit != strong.unit else 0.0
    terms[term.key] = replace(strong, factor=strong.factor + more)


def _read_words(typed: Sequence[str], speller: Speller) -> tuple[list[_Word], list[tuple[str, str]]]:
    found: list[_Word] = []
    corrections: list[tuple[str, str]] = []
    for unit, word in enumerate(typed):
        if word in SILENT:
            continue
        readings = speller.read(word)
        if (
            readings[0].by == "spelling"
            and len({r.word for r in readings}) == 2
            and readings[0].word + readings[1].word == word
        ):
            found.extend(_Word(word, r.word, stem(r.word), r.likeness, unit) for r in readings)
            corrections.append((word, f"{readings[0].word} {readings[1].word}"))
            continue
        best = readings[0]
        others = tuple((r.word, r.likeness) for r in readings[1:])
        found.append(_Word(word, best.word, stem(best.word), best.likeness, unit, others))
        if best.word != word:
            corrections.append((word, best.word))
    return found, corrections


def _word_terms(read_words: Iterable[_Word], named: Set[int], weights: Weights) -> Iterable[Term]:
    for word in read_words:
        if word.stem in _JOINING_STEMS or word.word in SILENT:
            continue
        factor = weights.word if word.unit in named else weights.plain
        through = "as typed" if word.word == word.typed else "spelling"
        yield Term(("word", word.stem), factor * word.likeness, word.typed, word.word, through, word.unit)
        for other, likeness in word.others:
            key = ("word", stem(other))
            yield Term(key, factor * weights.other * likeness, word.typed, other, "spelling", word.unit)


@dataclass(frozen=True, slots=True)
class _Found:
    concept: Concept
    phrase: Stems
    typed: str
    read_as: str
    units: tuple[int, ...]
    likeness: float
    shared: int


def _phrases(read_words: Sequence[_Word], lexicon: Lexicon) -> Iterable[_Found]:
    """Every lexicon phrase in what was typed, in order, at most three words skipped inside."""
    for start, first in enumerate(read_words):
        for phrase, concepts in lexicon.starting_with(first.stem):
            places = _match(read_words, start, phrase)
            if not places:
                continue
            for concept in concepts:
                part = [read_words[at] for at in places]
                whole = read_words[places[0] : places[-1] + 1]
                likeness = min(word.likeness for word in part)
                likeness *= PER_SKIPPED ** (len(whole) - len(part))
                yield _Found(
                    lexicon.concepts[concept],
                    phrase,
                    " ".join(dict.fromkeys(word.typed for word in whole)),
                    " ".join(word.word for word in whole),
                    tuple(dict.fromkeys(word.unit for word in part)),
                    likeness,
                    len(concepts),
                )


def _match(read_words: Sequence[_Word], start: int, phrase: Stems) -> list[int]:
    """Places of a phrase's words from `start` on; joining words may stand between, and `SKIPPED` others."""
    places, at, skipped = [start], start + 1, 0
    for part in phrase[1:]:
        while at < len(read_words) and read_words[at].stem != part and skipped <= SKIPPED:
            skipped += read_words[at].stem not in _JOINING_STEMS
            at += 1
        if skipped > SKIPPED or at >= len(read_words) or read_words[at].stem != part:
            return []
        places.append(at)
        at += 1
    return places


def _concept_terms(found: _Found, lexicon: Lexicon, weights: Weights) -> Iterable[Term]:
    concept = found.concept
    factor = found.likeness * weights.kinds[concept.kind] * found.shared**-weights.shared
    factor *= weights.concept if found.phrase in concept.phrases else weights.said
    term = Term(("concept", concept.id), factor, found.typed, found.read_as, concept.name, found.units[0])
    yield term
    for other in concept.near:
        near = lexicon.concepts.get(other)
        if near is not None:
            yield replace(
                term, key=("concept", other), factor=factor * weights.near, through=near.name, certainty=0.5
            )


def _code_terms(code: str, unit: int, weights: Weights) -> Iterable[Term]:
    plain = code.split("-")[0]
    yield Term(("code", plain.lower()), weights.code, code, plain, "code", unit)
    for other in related_codes(plain):
        yield Term(("code", other.lower()), weights.related_code, code, other, "related code", unit, 0.5)
