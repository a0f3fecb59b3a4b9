"""Shop talk as data: which phrases mean the same concept, and what a lead added or took away."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, field, replace
from functools import lru_cache
from importlib import resources
from itertools import product

from kb.errors import BadInput
from kb.words.normalise import SILENT, stem, words

KINDS = ("symptom", "condition", "system", "part", "lamp", "action", "cause", "vehicle", "filler")
SYSTEMS = (
    "engine", "fuel", "transmission", "driveline", "brakes", "steering", "suspension", "wheels", "electrical",
    "lighting", "display", "network", "hybrid", "restraint", "body", "climate", "driver_assist", "access",
    "trailer",
)  # fmt: skip
REACHES = ("own", "shared", "general", "function", "event")
_PHRASES = ("phrases", "said", "heard")
CHOICES = "choices"
"""The table of named choices in the file; every other one is a concept."""
_CHOICE = re.compile(r"\(([^()]*)\)")
OWN_KIND = "part"  # what a concept is taken for that a lead made up


Stems = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Concept:
    """One meaning and the phrases people have for it.

    `phrases` are looked for in what is typed and in notes, `said` only in what is typed; both as stems. What
    is `heard` is typed as well, and so loose that it only helps to tell what a note is about, not to rank it.
    `words` are the words they are made of, unstemmed; `near` names concepts that often mean the same failure.
    `system` is the system of the vehicle it belongs to, "" where it belongs to any. `reach` says how much a
    symptom tells by itself: "own" all that is needed, "shared" much, but many systems have it (a clunk),
    "general" nothing without its part (a noise); a "function" is a condition or system that is itself what
    stops working (stop-start), an "event" a condition that may be harsh, late or loud as a part may (an
    upshift). Phrases that are `vague` say too little to tell what a note is about (a light). `opposite` is the concept of a condition that cannot be at the same time.
    """

    id: str
    kind: str
    phrases: frozenset[Stems]
    said: frozenset[Stems] = frozenset()
    heard: frozenset[Stems] = frozenset()
    words: frozenset[str] = frozenset()
    near: tuple[str, ...] = ()
    system: str = ""
    reach: str = "own"
    opposite: str = ""
    vague: frozenset[Stems] = frozenset()

    def ranks(self, phrase: Stems) -> bool:
        """Whether a typed phrase of the concept counts in ranking."""
        return phrase in self.phrases or phrase in self.said

    @property
    def shortest(self) -> tuple[Stems, ...]:
        """The phrases to look for in notes: those that hold no other phrase of the concept."""
        return _shortest(self.phrases)

    @property
    def telling(self) -> tuple[Stems, ...]:
        """Those of them that tell what a note is about."""
        return _shortest(self.phrases - self.vague)

    @property
    def name(self) -> str:
        """The concept in plain words: "loss of drive power"."""
        return self.id.replace("_", " ")


@dataclass(frozen=True)
class Lexicon:
    """All concepts, the phrases found under each first stem, and every word that some phrase uses."""

    concepts: Mapping[str, Concept]
    words: frozenset[str]
    _meanings: Mapping[Stems, tuple[str, ...]] = field(repr=False, compare=False)
    _starts: Mapping[str, Mapping[str, tuple[Stems, ...]]] = field(repr=False, compare=False)
    _longer: Mapping[tuple[str, str], tuple[Stems, ...]] = field(repr=False, compare=False)

    def meanings(self, phrase: Stems) -> tuple[str, ...]:
        """Ids of the concepts that a phrase may mean."""
        return self._meanings.get(phrase, ())

    def starting_with(self, first: str, among: Set[str]) -> list[Stems]:
        """The phrases that begin so and are made of these stems, longest first."""
        following = self._starts.get(first)
        if following is None:
            return []
        found = [(first,)] if (first,) in self._meanings else []
        for second in following.keys() & among:
            found += filter(among.issuperset, following[second])
        return sorted(found, key=lambda phrase: (-len(phrase), phrase)) if len(found) > 1 else found

    def longer(self, concept: str, first: str) -> tuple[Stems, ...]:
        """Phrases of a concept for notes that begin so and have more than one word, longest first."""
        return self._longer.get((concept, first), ())


def phrase_stems(phrase: str) -> Stems:
    """A phrase as the search compares it: folded, stemmed, silent words left out."""
    return tuple(stem(word) for word in words(phrase) if word not in SILENT)


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
        table[key] = replace(old, phrases=old.phrases | {stems}, words=old.words | set(words(phrase)))
    known = frozenset(word for concept in table.values() for word in concept.words)
    meanings = _meanings_of(table.values())
    return Lexicon(table, known, meanings, _starts_of(meanings), _longer_of(table.values()))


@lru_cache(maxsize=1)
def trade_concepts() -> tuple[Concept, ...]:
    """The concepts that come with the package (lexicon.toml)."""
    text = resources.files("kb.words").joinpath("lexicon.toml").read_text(encoding="utf-8")
    tables = tomllib.loads(text)
    return read_concepts(tables, tables.pop(CHOICES))


def read_concepts(
    tables: Mapping[str, Mapping[str, object]], choices: Mapping[str, str] | None = None
) -> tuple[Concept, ...]:
    """Concepts from parsed TOML tables; `choices` are named ones, as "a|b|c".

    Raises BadInput on an unknown kind, system or reach, or a `near` that names nothing.
    """
    for name, table in tables.items():
        named = (*_texts(table, "near"), *filter(None, [str(table.get("opposite", ""))]))
        strangers = [other for other in named if other not in tables]
        known = (
            table.get("kind") in KINDS
            and table.get("system", "") in ("", *SYSTEMS)
            and table.get("reach", "own") in REACHES
        )
        if not known or strangers:
            raise BadInput(
                f"The lexicon entry “{name}” has an unknown kind, system or reach, "
                f"or an unknown neighbour {strangers}."
            )
    return tuple(_concept(name, table, choices or {}) for name, table in tables.items())


def _concept(name: str, table: Mapping[str, object], choices: Mapping[str, str]) -> Concept:
    told = [[one for text in _texts(table, key) for one in spelled_out(text, choices)] for key in _PHRASES]
    phrases, said, heard = (frozenset(map(phrase_stems, one)) - {()} for one in told)
    return Concept(
        name,
        str(table["kind"]),
        phrases,
        said,
        heard,
        frozenset(word for one in told for phrase in one for word in words(phrase)),
        _texts(table, "near"),
        str(table.get("system", "")),
        str(table.get("reach", "own")),
        str(table.get("opposite", "")),
        frozenset(map(phrase_stems, _texts(table, "vague"))),
    )


def spelled_out(text: str, choices: Mapping[str, str]) -> Iterator[str]:
    """Every phrase that one with choices stands for: "(stalls|dies) at (the|) stop".

    A choice that is a name in `choices` stands for those.
    """
    pieces = _CHOICE.split(text)
    pieces[1::2] = [choices.get(name, name) for name in pieces[1::2]]
    return map("".join, product(*(piece.split("|") if at % 2 else (piece,) for at, piece in enumerate(pieces))))


def _shortest(phrases: frozenset[Stems]) -> tuple[Stems, ...]:
    return tuple(sorted(one for one in phrases if not any(part in phrases for part in _inner(one))))


def _inner(phrase: Stems) -> Iterable[Stems]:
    """All shorter runs of words inside a phrase."""
    for size in range(1, len(phrase)):
        for start in range(len(phrase) - size + 1):
            yield phrase[start : start + size]


def _texts(table: Mapping[str, object], key: str) -> tuple[str, ...]:
    value = table.get(key, ())
    return tuple(map(str, value)) if isinstance(value, list) else ()


def _concept_key(name: str) -> str:
    return "_".join(words(name.replace("_", " ")))


def _own_concept(key: str) -> Concept:
    name = key.replace("_", " ")
    return Concept(key, OWN_KIND, frozenset({phrase_stems(name)} - {()}), words=frozenset(words(name)))


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


def _longer_of(concepts: Iterable[Concept]) -> dict[tuple[str, str], tuple[Stems, ...]]:
    longer: dict[tuple[str, str], list[Stems]] = {}
    for concept in concepts:
        for phrase in sorted(concept.phrases, key=lambda phrase: (-len(phrase), phrase)):
            if len(phrase) > 1:
                longer.setdefault((concept.id, phrase[0]), []).append(phrase)
    return {key: tuple(phrases) for key, phrases in longer.items()}
