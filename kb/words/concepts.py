"""Shop talk as data: concepts, the phrases people have for them, and the file that holds them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import chain, product
from typing import Any

from kb.errors import BadInput
from kb.nouns.word_files import word_file
from kb.words.negators import NEGATORS
from kb.words.normalise import SILENT, stem, words

PARTS = frozenset({"part", "system", "lamp"})
"""Kinds of concepts that are things of a vehicle."""
CIRCUMSTANCES = frozenset({"condition", "action", "vehicle", "filler"})
"""Kinds that tell neither what is wrong nor with what."""
KINDS = ("symptom", "condition", "system", "part", "lamp", "action", "cause", "vehicle", "filler")
SYSTEMS = (
    "engine", "fuel", "transmission", "driveline", "brakes", "steering", "suspension", "wheels", "electrical",
    "lighting", "display", "network", "hybrid", "restraint", "body", "climate", "driver_assist", "access",
    "trailer", "exhaust",
)  # fmt: skip
REACHES = ("own", "shared", "general", "function", "event", "felt")
_PHRASES = ("phrases", "said", "heard")
CHOICES = "choices"
"""The table of named choices in the file; every other one is a concept."""
_NOES = frozenset(map(stem, NEGATORS))
_CHOICE = re.compile(r"\(([^()]*)\)")

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
    upshift), "felt" a thing in which people feel what is elsewhere (a seat). Phrases that are `vague` say too
    little to tell what a note is about (a light). `opposite` is the concept of a condition that cannot be at
    the same time. A phrase of a note that has a word of `goes_on` right behind it begins another thing's
    ("loss of power" a "loss of power steering"). `same` are groups of phrases that say the same; the others
    only go with them.
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
    goes_on: frozenset[str] = frozenset()
    same: tuple[frozenset[Stems], ...] = ()

    def __hash__(self) -> int:
        """By its id: a search looks up a dozen concepts, and each has hundreds of phrases."""
        return hash(self.id)

    def ranks(self, phrase: Stems) -> bool:
        """Whether a typed phrase of the concept counts in ranking."""
        return phrase in self.phrases or phrase in self.said

    def alike(self, typed: Stems, in_other_words: bool) -> tuple[Stems, ...]:
        """The phrases to look for in notes that say the same as a typed one: those that hold its words or are
        held in it, a no apart, and where they count those in other words, of its group of the `same`.
        """
        return _alike(self, typed, in_other_words)

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


def phrase_stems(phrase: str) -> Stems:
    """A phrase as the search compares it: folded, stemmed, silent words left out."""
    return _stems(words(phrase))


def _stems(folded: Iterable[str]) -> Stems:
    return tuple(stem(word) for word in folded if word not in SILENT)


def concept_tables() -> dict[str, dict[str, Any]]:
    """The file lexicon.toml as it is written: a table a concept, and one of named choices."""
    return word_file("kb.words", "lexicon.toml")


@lru_cache(maxsize=1)
def trade_concepts() -> tuple[Concept, ...]:
    """The concepts that come with the package (lexicon.toml), and what of them says the same (same.toml)."""
    tables = concept_tables()
    choices, alike = tables.pop(CHOICES), word_file("kb.words", "same.toml")
    for key, told in alike.items():
        for name, phrases in told.items():
            tables[name][key] = phrases
    return read_concepts(tables, choices)


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
    told = [[_pieces(text, choices) for text in _texts(table, key)] for key in _PHRASES]
    every_choice = [choice for one in told for text in one for piece in text for choice in piece]
    phrases, said, heard = (frozenset(chain.from_iterable(map(_spelled_out, one))) - {()} for one in told)
    return Concept(
        name,
        str(table["kind"]),
        phrases,
        said,
        heard,
        frozenset(chain.from_iterable(every_choice)),
        _texts(table, "near"),
        str(table.get("system", "")),
        str(table.get("reach", "own")),
        str(table.get("opposite", "")),
        frozenset(map(phrase_stems, _texts(table, "vague"))),
        frozenset(stem(word) for text in _texts(table, "goes_on") for word in text.split()),
        _same(table, phrases, said),
    )


def _same(
    table: Mapping[str, object], phrases: frozenset[Stems], said: frozenset[Stems]
) -> tuple[frozenset[Stems], ...]:
    """Groups of phrases that say the same. Of a symptom without groups all do, save single words for it that
    notes do not use: "coast" says less than "rolled to a stop".
    """
    groups = [frozenset(map(phrase_stems, group.split("|"))) for group in _texts(table, "same")]
    loose = frozenset(map(phrase_stems, _texts(table, "loose")))
    if not groups and table["kind"] == "symptom":
        groups = [phrases | {one for one in said if len(one) > 1}]
    return tuple(group - loose for group in groups)


def _pieces(text: str, choices: Mapping[str, str]) -> list[list[list[str]]]:
    """A text with choices, "(stalls|dies) at (the|) stop", piece by piece: the folded words of each choice.

    A choice that is a name in `choices` stands for those; choices begin and end at the ends of words.
    """
    pieces = _CHOICE.split(text)
    pieces[1::2] = [choices.get(name, name) for name in pieces[1::2]]
    return [
        [words(one) for one in (piece.split("|") if at % 2 else (piece,))] for at, piece in enumerate(pieces)
    ]


def _spelled_out(pieces: Iterable[Iterable[Iterable[str]]]) -> Iterator[Stems]:
    """Every phrase that pieces stand for: hundreds of thousands, so that each piece is stemmed once alone."""
    stemmed = [list(map(_stems, piece)) for piece in pieces]
    return (tuple(chain.from_iterable(phrase)) for phrase in product(*stemmed))


@lru_cache(maxsize=4_096)  # asked for each result
def _alike(concept: Concept, typed: Stems, in_other_words: bool) -> tuple[Stems, ...]:
    own, whole = set(typed), typed in concept.phrases or len(typed) > 1
    near = [
        one
        for one in concept.phrases
        if (own.issuperset(one) or (whole and own.issubset(one))) and own & _NOES == _NOES.intersection(one)
    ]
    named = {one for group in concept.same if in_other_words and typed in group for one in group}
    others = concept.phrases.intersection(named).difference(near)
    return (*sorted(near, key=lambda one: (one != typed, -len(one), one)), *sorted(others))


@lru_cache(maxsize=4_096)  # asked for each saved note
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
