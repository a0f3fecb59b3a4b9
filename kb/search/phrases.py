"""The lexicon phrases that the words of a complaint make up."""

from __future__ import annotations

from collections.abc import Iterable, Sequence, Set
from typing import NamedTuple

from kb.search.typed import JOINING_STEMS, TypedWord
from kb.words.concepts import PARTS, Concept, Stems
from kb.words.lexicon import Lexicon
from kb.words.negators import NEGATORS

SKIPPED = 1  # how many telling words may stand inside a typed phrase; joining words may always
PER_WORD_BETWEEN = 0.85  # a phrase counts this much less for each word in between


class Span(NamedTuple):
    """A lexicon phrase at these places among the typed words, and the ids of the concepts it may mean."""

    places: list[int]
    stems: Stems
    concepts: tuple[str, ...]


class _Found(NamedTuple):
    """A phrase said and not denied, the typed words it takes up and the concepts it may mean, and for each
    whether it counts in ranking.

    It stands `together` where no telling word that is not its own stands in between.
    """

    span: Span
    units: frozenset[int]
    concepts: list[Concept]
    together: bool
    ranked: Sequence[bool]


class Phrase(NamedTuple):
    """A lexicon phrase in what was typed; `ranks`: it counts in ranking, and does not only help to tell what
    a note is about.

    `shared` counts the concepts that the same phrase may mean, `inside` says that a longer phrase holds it,
    both of what ranks. `itself` says that the phrase says by itself what was meant.
    """

    concept: Concept
    stems: Stems
    typed: str
    read_as: str
    units: tuple[int, ...]
    likeness: float
    shared: int
    inside: bool
    itself: bool
    first: TypedWord
    together: bool
    ranks: bool


def phrases_in(typed: Sequence[TypedWord], spans: Sequence[Span], lexicon: Lexicon) -> list[Phrase]:
    """Every lexicon phrase that is said and not denied, once for each concept it may mean."""
    found = [
        _Found(
            span,
            frozenset([typed[at].unit for at in span.places]),
            concepts,
            _stands_together(typed, span.places, concepts[0]),
            [one.ranks(span.stems) for one in concepts],
        )
        for span in spans
        if not is_denied(typed, span.places)
        for concepts in [[lexicon.concepts[name] for name in span.concepts]]
    ]
    by_unit: dict[int, list[_Found]] = {}
    for one in found:
        for unit in one.units if len(one.units) > 1 else ():
            by_unit.setdefault(unit, []).append(one)
    return [
        phrase
        for one in found
        for phrase in _phrases(
            typed, one, [o for o in by_unit.get(min(one.units), ()) if one.units < o.units]
        )
    ]


def spans(typed: Sequence[TypedWord], lexicon: Lexicon) -> list[Span]:
    """Every lexicon phrase in what was typed, denied or not."""
    stems = {word.stem for word in typed}
    return [
        Span(places, phrase, lexicon.meanings(phrase))
        for start, first in enumerate(typed)
        for phrase in lexicon.starting_with(first.stem, stems)
        for places in (_match(typed, start, phrase),)
        if places
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


def is_denied(typed: Sequence[TypedWord], places: Sequence[int]) -> bool:
    """A phrase with a no of its own ("no codes") stands or falls with that no, any other with its words."""
    noes = [at for at in places if typed[at].word in NEGATORS]
    return any(typed[at].denied for at in noes or places)


def _stands_together(typed: Sequence[TypedWord], places: Sequence[int], concept: Concept) -> bool:
    """Whether only small words and figures stand in between ("cranks 6 seconds"); the name of a function is
    in one clause ("coming to a stop, starts again" is no stop-start).
    """
    if concept.reach == "function" and typed[places[0]].clause != typed[places[-1]].clause:
        return False
    between = (typed[at] for at in range(places[0], places[-1]) if at not in places)
    return not any(word.tells and not word.counts for word in between)


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
            skipped += typed[at].stem not in JOINING_STEMS and not shares and not typed[at].counts
            at += 1
        if skipped > most or at >= len(typed):
            return []
        places.append(at)
        at += 1
    parted = typed[places[0]].clause != typed[places[-1]].clause
    return [] if parted and any(typed[at].word in NEGATORS for at in places) else places


def _phrases(typed: Sequence[TypedWord], found: _Found, longer: Sequence[_Found]) -> Iterable[Phrase]:
    places, stems, _ = found.span
    part = [typed[at] for at in places]
    whole = typed[places[0] : places[-1] + 1]
    shown = whole if found.together else part
    as_typed = " ".join(dict.fromkeys([word.typed for word in shown]))
    read_as = " ".join([word.word for word in shown])
    units = tuple(dict.fromkeys([word.unit for word in part]))
    likeness = min([word.likeness for word in part]) * PER_WORD_BETWEEN ** (len(whole) - len(part))
    shared, inside = max(1, sum(found.ranked)), any(True in other.ranked for other in longer)
    together, first = found.together, part[0]
    for one, ranks in zip(found.concepts, found.ranked, strict=True):
        if any(one in other.concepts and other.together and one.ranks(other.span.stems) for other in longer):
            continue  # said once, in more words
        itself = together and _is_itself(one, found, longer)
        yield Phrase(
            one, stems, as_typed, read_as, units, likeness, shared, inside, itself, first, together, ranks
        )


def _is_itself(concept: Concept, found: _Found, longer: Sequence[_Found]) -> bool:
    """Whether a phrase says by itself what was meant.

    A symptom does unless it is part of another saying; "blank" in "dash goes blank" is no such part, since a
    dash is a thing, nor is "shove" in "shove in the back", since both may be one failure. A thing does where
    its words mean no other system's, also inside a symptom ("steering wheel shakes"), an event or function
    where they mean no more than conditions; anything else where they mean nothing else but looser conditions.
    """
    around = [one for other in longer if other.together for one in other.concepts]
    if concept.kind == "symptom":
        return all(one.kind in PARTS or one.id in concept.near for one in around)
    if concept.kind in PARTS:
        alike = all(one.kind in PARTS and one.system in ("", concept.system) for one in found.concepts)
        return alike and all(one.kind == "symptom" for one in around)
    if concept.reach in ("event", "function"):
        when = all(one.kind == "condition" for one in found.concepts)
        return when and all(one.kind in ("symptom", "condition") for one in around)
    return not around and all(one is concept or _is_looser(one, concept) for one in found.concepts)


def _is_looser(one: Concept, scene: Concept) -> bool:
    """Whether it is a condition of any system beside a scene that speaks of one: "at 75" as a highway."""
    return bool(scene.system) and one.kind == "condition" and not one.system
