"""Which typed words are denied ("does not stall"), and which noes belong to a phrase of the trade."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kb.search.phrases import Span, spans
from kb.search.typed import MOST_LETTERS, MOST_WORDS, TypedWord
from kb.words.lexicon import Lexicon
from kb.words.negation import Said, clauses, denials, tells
from kb.words.negators import AUXILIARIES, NEGATORS, SIGNS, TIMES
from kb.words.normalise import words

_NEVER_BEFORE_SIGNS = frozenset(("start", "crank"))
"""A "no start problem" is a no start, while "no brake noise" speaks of no missing brakes."""
_SAID_OF_LAMPS = frozenset(("on", "came", "come"))
"""Behind another complaint "no lights" are lamps that did not come on; otherwise lights that are out."""


@dataclass(frozen=True, slots=True)
class Heard:
    """The typed words with what is denied and its noes marked, the phrases in them, the denials in words."""

    typed: Sequence[TypedWord]
    spans: Sequence[Span]
    denied: tuple[str, ...] = ()


def heard(text: str, typed: Sequence[TypedWord], lexicon: Lexicon) -> Heard:
    """What is said and what is denied in a text whose words are read already."""
    if not any(word.word in NEGATORS for word in typed):
        return Heard(typed, spans(typed, lexicon))
    said, typed_at = words_said(text, typed)
    place_of = {at: place for place, at in enumerate(typed_at) if at is not None}
    placed = [_placed(word, said, place_of[at]) for at, word in enumerate(typed)]
    found = spans(placed, lexicon)
    own = [span for span in found if any(placed[at].word in NEGATORS for at in span.places)]
    complaints = [span for span in own if _is_complaint(span, placed, said, place_of, lexicon)]
    denial = denials(said, {place_of[at] for span in complaints for at in span.places}, lexicon)
    kept = {at for span in own if _is_condition(span, lexicon) for at in span.places}
    gone = {typed_at[place] for one in denial for place in one.places}
    gone |= {typed_at[one.negator] for one in denial} - kept
    marked = [word._replace(denied=True) if at in gone else word for at, word in enumerate(placed)]
    return Heard(marked, found, tuple(dict.fromkeys(one.text for one in denial)))


def _placed(word: TypedWord, said: Sequence[Said], place: int) -> TypedWord:
    either, clause = place > 0 and said[place - 1].read in ("or", "nor"), said[place].clause
    return (
        word
        if (clause, either) == (word.clause, word.either)
        else word._replace(clause=clause, either=either)
    )


def words_said(text: str, typed: Sequence[TypedWord]) -> tuple[list[Said], list[int | None]]:
    """Every word in order, small ones included, and the place of each among the typed words."""
    by_unit: dict[int, list[int]] = {}
    for at, word in enumerate(typed):
        by_unit.setdefault(word.unit, []).append(at)
    cut = text[:MOST_LETTERS]
    said: list[Said] = []
    typed_at: list[int | None] = []
    for unit, (raw, clause) in enumerate(zip(words(cut)[:MOST_WORDS], clauses(cut), strict=False)):
        places = by_unit.get(unit, ())
        together = len(places) > 1
        said.extend(Said(typed[at].word if together else raw, typed[at].word, clause) for at in places)
        typed_at.extend(places)
        if not places:
            said.append(Said(raw, raw, clause))
            typed_at.append(None)
    return said, typed_at


def _is_condition(span: Span, lexicon: Lexicon) -> bool:
    """Whether its no says how it happens ("without warning"): it denies, and is looked for all the same."""
    return all(lexicon.concepts[name].kind == "condition" for name in span.concepts)


def _is_complaint(
    span: Span, typed: Sequence[TypedWord], said: Sequence[Said], place_of: dict[int, int], lexicon: Lexicon
) -> bool:
    """Whether a phrase that holds a no is a complaint ("no crank") and denies nothing ("no codes")."""
    named = [typed[at].word for at in span.places if typed[at].word not in NEGATORS]
    if _says_when(span, typed, said, place_of, lexicon):
        return False
    first, last = place_of[span.places[0]], place_of[span.places[-1]]
    after = [word.read for word in said[last + 1 : last + 2] if word.clause == said[last].clause]
    if SIGNS.intersection(after) and not _NEVER_BEFORE_SIGNS.intersection(named[-1:]):
        return False
    of_signs = all(word in SIGNS or not tells(word) for word in named)
    if of_signs and any(tells(word.read) for word in said[:first]) and _SAID_OF_LAMPS.issuperset(after):
        return False
    return bool(named) and not (_is_condition(span, lexicon) and SIGNS.intersection(named))


def _says_when(
    span: Span, typed: Sequence[TypedWord], said: Sequence[Said], place_of: dict[int, int], lexicon: Lexicon
) -> bool:
    """Whether its no is of a time ("not when warm", "not warm") and no duty ("does not warm up", "never rests
    at lights").
    """
    at = next(at for at in span.places if typed[at].word in NEGATORS)
    first, last = place_of[at], place_of[span.places[-1]]
    follows = min((place_of[one] for one in span.places if one > at), default=last)
    if any(said[place].read in TIMES for place in range(first + 1, follows)):
        return True
    if said[first].read != "not" or (first and said[first - 1].read in AUXILIARIES):
        return False
    after = [typed[one].stem for one in span.places if one > at][:1]
    alone = (name for word in after for name in lexicon.meanings((word,)))
    return any(lexicon.concepts[name].kind == "condition" for name in alone)
