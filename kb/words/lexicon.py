"""The lexicon in force: which phrases mean which concepts, and what a lead added or took away."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import chain, pairwise

from kb.errors import BadInput
from kb.words.concepts import PARTS, Concept, Stems, phrase_stems
from kb.words.normalise import words

OWN_KIND = "part"  # what a concept is taken for that a lead made up


@dataclass(frozen=True)
class Lexicon:
    """All concepts, the phrases found under each first stem, and every word that some phrase uses."""

    concepts: Mapping[str, Concept]
    words: frozenset[str]
    _meanings: Mapping[Stems, tuple[str, ...]] = field(repr=False, compare=False)
    _starts: Mapping[str, Mapping[str, tuple[Stems, ...]]] = field(repr=False, compare=False)
    _beside: Mapping[str, Mapping[tuple[int, str], frozenset[str]]] = field(repr=False, compare=False)

    def meanings(self, phrase: Stems) -> tuple[str, ...]:
        """Ids of the concepts that a phrase may mean."""
        return self._meanings.get(phrase, ())

    def beside(self, stem: str) -> Mapping[tuple[int, str], frozenset[str]]:
        """The words right before (-1) or behind (1) one in the names of things that notes use, each with the
        concepts named so.
        """
        return self._beside.get(stem, {})

    def starting_with(self, first: str, among: set[str] | frozenset[str]) -> list[Stems]:
        """The phrases that begin so and are made of these stems, longest first."""
        following = self._starts.get(first)
        if following is None:
            return []
        found: list[Stems] = [(first,)] if (first,) in self._meanings else []
        for second in following.keys() & among:
            found += filter(among.issuperset, following[second])
        return sorted(found, key=lambda phrase: (-len(phrase), phrase)) if len(found) > 1 else found


def make_lexicon(
    concepts: Iterable[Concept],
    added: Sequence[tuple[str, str]] = (),
    removed: Sequence[tuple[str, str]] = (),
) -> Lexicon:
    """A lexicon of the concepts, plus (concept, phrase) pairs added and minus pairs removed.

    An unknown concept in `added` is made new, with its name for a first phrase. Raises BadInput on a phrase
    without a letter or digit.
    """
    table = {concept.id: concept for concept in concepts}
    for name, phrase in removed:
        key, stems = _concept_key(name), phrase_stems(phrase)
        if key in table:
            table[key] = _without(table[key], stems)
    for name, phrase in added:
        key, stems = _concept_key(name), phrase_stems(phrase)
        if not key or not stems:
            raise BadInput(
                f"“{phrase}” holds no word to look for. Type at least one word that means something.",
                fields={"phrase": "no word to look for"},
            )
        old = table.get(key) or _own_concept(key)
        table[key] = _with(old, stems, words(phrase))
    known = frozenset(word for concept in table.values() for word in concept.words)
    meanings = _meanings_of(table.values())
    return Lexicon(table, known, meanings, _starts_of(meanings), _beside_of(table.values()))


def _concept_key(name: str) -> str:
    return "_".join(words(name.replace("_", " ")))


def _own_concept(key: str) -> Concept:
    name = key.replace("_", " ")
    return Concept(key, OWN_KIND, frozenset({phrase_stems(name)} - {()}), words=frozenset(words(name)))


def _with(concept: Concept, stems: Stems, said: Sequence[str]) -> Concept:
    """A concept with one more phrase, which says the same as each of the others: a lead says so."""
    return replace(
        concept,
        phrases=concept.phrases | {stems},
        same=(*concept.same, *(frozenset({stems, other}) for other in sorted(concept.phrases))),
        words=concept.words.union(said),
    )


def _without(concept: Concept, stems: Stems) -> Concept:
    return replace(
        concept,
        phrases=concept.phrases - {stems},
        said=concept.said - {stems},
        heard=concept.heard - {stems},
    )


def _meanings_of(concepts: Iterable[Concept]) -> dict[Stems, tuple[str, ...]]:
    meanings: dict[Stems, set[str]] = {}
    for concept in concepts:
        for phrase in concept.phrases | concept.said | concept.heard:
            meanings.setdefault(phrase, set()).add(concept.id)
    return {phrase: tuple(sorted(ids)) for phrase, ids in meanings.items()}


def _beside_of(concepts: Iterable[Concept]) -> dict[str, dict[tuple[int, str], frozenset[str]]]:
    """By stem, the words beside it in phrases for parts, systems and lamps."""
    beside: dict[str, dict[tuple[int, str], frozenset[str]]] = {}
    for concept in concepts:
        for one, other in chain.from_iterable(
            map(pairwise, concept.phrases if concept.kind in PARTS else ())
        ):
            for stem, place in ((one, (1, other)), (other, (-1, one))):
                around = beside.setdefault(stem, {})
                around[place] = around.get(place, frozenset()) | {concept.id}
    return beside


def _starts_of(phrases: Iterable[Stems]) -> dict[str, dict[str, tuple[Stems, ...]]]:
    """By first stem, and by second one where there is one, the phrases of more than one word."""
    starts: dict[str, dict[str, list[Stems]]] = {}
    for phrase in phrases:
        following = starts.setdefault(phrase[0], {})
        if len(phrase) > 1:
            following.setdefault(phrase[1], []).append(phrase)
    return {
        first: {second: tuple(sorted(found)) for second, found in following.items()}
        for first, following in starts.items()
    }
