"""A complaint read: which words and concepts it names, through which correction or lexicon entry."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass
from types import MappingProxyType
from typing import NamedTuple

from kb.search.denied import heard
from kb.search.phrases import Phrase, phrases_in, without_chance
from kb.search.typed import TypedWord, without_paperwork
from kb.search.weights import Weights
from kb.search.why.convincing import Convincing
from kb.words.concepts import PARTS
from kb.words.lexicon import Lexicon
from kb.words.normalise import codes_in, stem
from kb.words.related import related_codes
from kb.words.spelling import Speller

PLAIN_WORTH, CODE_WORTH = 0.5, 2.0
GRADE_WORTH: Mapping[str, float] = MappingProxyType(
    {
        "symptom": 1.0, "part": 1.0, "system": 0.8, "lamp": 0.8, "vehicle": 0.6, "cause": 0.6,
        "condition": 0.5, "action": 0.4, "filler": 0.2,
    }
)  # fmt: skip
"""What a typed word is worth in grading, by the kind of concept it names. Not tuned: see matching.py."""
HALF_SURE = 0.5  # how certain a match through a neighbouring concept or a related code is

Key = tuple[str, str]
"""("word", stem), ("concept", id) or ("code", code)."""


class Spot(NamedTuple):
    """A place where something was typed as itself: the first word of it, and its first and last unit."""

    word: TypedWord
    begins: int
    ends: int


class Term(NamedTuple):
    """One thing to look for, how much it counts, and how it came from what was typed.

    `convinces` says that a technician would see in it why a note is shown, `plain` that what is
    meant is plain (kb/search/why/convincing.py).
    `itself` says that a concept was typed, not guessed from a neighbour or found inside a longer phrase, and
    of a word that it belongs to no phrase;
    `spots` are the places where it was typed, `stems` are its phrase's.
    """

    key: Key
    factor: float
    typed: str
    read_as: str
    through: str
    unit: int
    certainty: float = 1.0
    itself: bool = False
    spots: tuple[Spot, ...] = ()
    stems: tuple[str, ...] = ()
    convinces: bool = False
    plain: bool = False


class Unit(NamedTuple):
    """A typed word that carries meaning; `worth` is its share in grading."""

    typed: str
    worth: float


@dataclass(frozen=True, slots=True)
class Read:
    """A complaint as terms; several terms may come from one unit (its place in `units`)."""

    terms: tuple[Term, ...]
    units: tuple[Unit, ...]
    corrections: tuple[tuple[str, str], ...]
    denied: tuple[str, ...] = ()
    """What is said not to be so, in words ("does not stall"); it gives no terms."""


def read(text: str, codes: Iterable[str], lexicon: Lexicon, speller: Speller, weights: Weights) -> Read:
    """Read a complaint and its trouble codes. Anything may be typed; what carries nothing gives no terms."""
    as_read, corrections = without_paperwork(text, speller)
    told = heard(text, as_read, lexicon)
    typed = told.typed
    phrases = without_chance(phrases_in(typed, told.spans, lexicon), typed)
    said = dict.fromkeys(code.strip().upper() for code in (*codes, *codes_in(text)))
    numbered = {-1 - number: code for number, code in enumerate(filter(None, said))}
    units = _units(typed, phrases, numbered)
    order = {unit: at for at, unit in enumerate(sorted(units))}
    terms: dict[Key, Term] = {}
    for term in _all_terms(typed, phrases, numbered, order, lexicon, weights):
        _keep(terms, term, weights.again)
    return Read(tuple(terms.values()), tuple(map(units.__getitem__, order)), tuple(corrections), told.denied)


def _all_terms(
    typed: Sequence[TypedWord],
    phrases: Sequence[Phrase],
    codes: Mapping[int, str],
    order: Mapping[int, int],
    lexicon: Lexicon,
    weights: Weights,
) -> Iterable[Term]:
    """`order` numbers the units one after another, which is how terms name them."""
    convincing = Convincing(typed, phrases)
    yield from _word_terms(typed, _word_factors(phrases, weights), convincing.words(), order, weights)
    for phrase in phrases:
        yield from _concept_terms(phrase, convincing, order, lexicon, weights)
    for unit, code in codes.items():
        yield from _code_terms(code, order[unit], weights)


def _word_factors(phrases: Sequence[Phrase], weights: Weights) -> dict[int, float]:
    """How much the words of phrases count beside the phrases, by unit; that of any other word is `plain`.

    A part said in words that notes are not looked for by (a "poly tank") counts by those words as well, and a
    word for the vehicle alone ("my truck") as such.
    """
    kinds: dict[int, set[str]] = {}
    for phrase in phrases:
        if phrase.ranks and (phrase.stems in phrase.concept.phrases or phrase.concept.kind not in PARTS):
            for unit in phrase.units:
                kinds.setdefault(unit, set()).add(phrase.concept.kind)
    of_vehicle = weights.word * min(weights.kinds["vehicle"], 1.0)
    return {unit: of_vehicle if told == {"vehicle"} else weights.word for unit, told in kinds.items()}


def _units(
    typed: Sequence[TypedWord], phrases: Sequence[Phrase], codes: Mapping[int, str]
) -> dict[int, Unit]:
    """What each typed word or code is worth in grading; codes are numbered below zero."""
    worth = {word.unit: PLAIN_WORTH for word in typed if word.tells}
    for phrase in phrases:
        more = GRADE_WORTH[phrase.concept.kind] if phrase.ranks else 0.0
        for unit in phrase.units:
            worth[unit] = max(worth.get(unit, 0.0), more)
    units = {word.unit: Unit(word.typed, worth[word.unit]) for word in typed if word.unit in worth}
    return units | {unit: Unit(code, CODE_WORTH) for unit, code in codes.items()}


def _keep(terms: dict[Key, Term], term: Term, again: float) -> None:
    """The stronger of two terms for one thing stays; said twice in other words, it counts a bit more."""
    old = terms.get(term.key)
    if old is None:
        terms[term.key] = term
        return
    strong, faint = (term, old) if term.factor > old.factor else (old, term)
    more = again * faint.factor if faint.unit != strong.unit else 0.0
    itself, spots = strong.itself or faint.itself, strong.spots + faint.spots
    terms[term.key] = strong._replace(factor=strong.factor + more, itself=itself, spots=spots)


def _word_terms(
    typed: Iterable[TypedWord],
    factors: Mapping[int, float],
    telling: Set[int],
    order: Mapping[int, int],
    weights: Weights,
) -> Iterable[Term]:
    """`factors` has the units that some phrase holds, `telling` are those of words that convince."""
    for word in typed:
        if not word.tells:
            continue
        factor = factors.get(word.unit, weights.plain)
        through = "as typed" if word.word == word.typed else "spelling"
        key, alone, unit = ("word", word.stem), word.unit not in factors, order[word.unit]
        likely = factor * word.likeness
        tells = word.unit in telling
        yield Term(key, likely, word.typed, word.word, through, unit, itself=alone, convinces=tells)
        for other, likeness in word.others:
            key = ("word", stem(other))
            yield Term(key, factor * weights.other * likeness, word.typed, other, "spelling", unit)


def _concept_terms(
    phrase: Phrase,
    convincing: Convincing,
    order: Mapping[int, int],
    lexicon: Lexicon,
    weights: Weights,
) -> Iterable[Term]:
    concept, unit, factor = phrase.concept, order[phrase.units[0]], _factor(phrase, weights)
    term = Term(
        ("concept", concept.id),
        factor,
        phrase.typed,
        phrase.read_as,
        concept.name,
        unit,
        itself=phrase.itself,
        spots=(Spot(phrase.first, unit, order[phrase.units[-1]]),) if phrase.itself else (),
        stems=phrase.stems,
        convinces=convincing.phrase(phrase),
        plain=convincing.is_plain(phrase),
    )
    yield term
    for near in filter(None, map(lexicon.concepts.get, concept.near)):
        yield Term(
            ("concept", near.id),
            factor * weights.near,
            phrase.typed,
            phrase.read_as,
            near.name,
            unit,
            HALF_SURE,
            stems=phrase.stems,
            plain=term.plain,
        )


def _factor(phrase: Phrase, weights: Weights) -> float:
    """How much the concept of a phrase counts."""
    concept = phrase.concept
    factor = phrase.likeness * weights.kinds[concept.kind] * float(phrase.shared**-weights.shared)
    factor *= weights.concept if phrase.stems in concept.phrases else weights.said
    factor *= weights.inside if phrase.inside else 1.0
    return factor * (1.0 if phrase.ranks else weights.heard)


def _code_terms(code: str, unit: int, weights: Weights) -> Iterable[Term]:
    plain = code.split("-")[0]
    term = Term(("code", plain.lower()), weights.code, code, plain, "code", unit, convinces=True)
    yield term
    for other in related_codes(plain):
        key, factor = ("code", other.lower()), weights.related_code
        yield Term(key, factor, code, other, "related code", unit, HALF_SURE, convinces=True)
