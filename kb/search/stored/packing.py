"""The one part of a built index as named arrays and a few plain facts, and the part made of them again.

Nothing is worked out again that rests on the text alone. What rests on the lexicon is taken as it was counted
where a concept looks for the same phrases as then, and counted anew where it does not.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from hashlib import blake2b
from itertools import pairwise
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from kb.search.ranking import NOTHING, Postings
from kb.search.segment import Segment
from kb.search.snapshot import Part
from kb.search.stored.columns import Columns
from kb.search.stored.coverage import Covered
from kb.search.stored.defects import Defects
from kb.search.stored.numbered_texts import NumberedTexts
from kb.search.text import Text
from kb.search.vehicle.standing import Standing
from kb.search.vocabulary import Vocabulary
from kb.vehicle.families import Families
from kb.words.concepts import Concept
from kb.words.lexicon import Lexicon

Arrays = Mapping[str, NDArray[Any]]
Value = TypeVar("Value")
_POSTINGS = ("notes", "impacts", "told")


@dataclass(frozen=True, slots=True)
class Packed:
    """`arrays` may be read from a file and are never written to; `facts` are texts, numbers and lists."""

    facts: Mapping[str, Any]
    arrays: Arrays


def packed(part: Part, vocabulary: Vocabulary, lexicon: Lexicon) -> Packed:
    """A part without dead notes, whose worth is known, with the words that it is numbered by."""
    covered, counted = part.standing.covered, part.segment.concepts
    words, stems = vocabulary.filed()
    concepts = [concept for concept in lexicon.concepts.values() if concept in counted]
    return Packed(
        {
            "size": part.segment.size,
            "k1": part.segment.k1,
            "concepts": list(map(_mark, concepts)),
            "lexicon": lexicon_mark(lexicon),
            "makes": list(covered.makes),
            "printed": dict(covered.printed),
            "models": [list(names) for names in covered.models],
        },
        {
            **dict(_arrays("text", part.segment.text)),
            **dict(_arrays("columns", part.segment.columns)),
            **dict(_arrays("covered", covered)),
            **dict(_arrays("defects", part.defects)),
            **_postings([counted[concept] for concept in concepts]),
            **{f"worth.{at}": worth for at, worth in enumerate(part.worth)},
            "systems": part.systems,
            **dict(_arrays("words", words)),
            **dict(_arrays("stems", stems)),
        },
    )


def unpacked(packed: Packed, lexicon: Lexicon, families: Families) -> tuple[Part, Vocabulary]:
    """The part and its words; its worth is empty where the lexicon is not the one it was counted by."""
    facts, arrays = packed.facts, packed.arrays
    columns = _value(Columns, "columns", arrays)
    named = {
        "size": facts["size"],
        "makes": tuple(facts["makes"]),
        "printed": facts["printed"],
        "models": [(make, model) for make, model in facts["models"]],
    }
    known = dict(zip(facts["concepts"], _each_concept(arrays), strict=True))
    concepts = {
        concept: known[mark]
        for concept in lexicon.concepts.values()
        for mark in [_mark(concept)]
        if mark in known
    }
    segment = Segment(_value(Text, "text", arrays), columns, facts["k1"], concepts)
    same = facts["lexicon"] == lexicon_mark(lexicon)
    part = Part(
        segment,
        Standing(_value(Covered, "covered", arrays, named), families),
        _value(Defects, "defects", arrays),
        worth=tuple(arrays[f"worth.{at}"] for at in range(2)) if same else (),
        systems=arrays["systems"],
    )
    words, stems = (_value(NumberedTexts, name, arrays) for name in ("words", "stems"))
    return part, Vocabulary.of(words, stems, columns.stem_of)


def lexicon_mark(lexicon: Lexicon) -> str:
    """The same for lexicons by which notes count alike."""
    told = sorted((_mark(one), one.kind, one.system) for one in lexicon.concepts.values())
    return blake2b(repr(told).encode(), digest_size=16).hexdigest()


def _mark(concept: Concept) -> str:
    """The same for concepts whose postings are."""
    told = (concept.id, sorted(concept.shortest), sorted(concept.telling), bool(concept.vague))
    return blake2b(repr(told).encode(), digest_size=16).hexdigest()


def _arrays(name: str, value: Any) -> Iterator[tuple[str, NDArray[Any]]]:
    """The fields of a dataclass that are arrays."""
    for field in fields(value):
        one = getattr(value, field.name)
        if isinstance(one, np.ndarray):
            yield f"{name}.{field.name}", one


def _value(kind: type[Value], name: str, arrays: Arrays, others: Mapping[str, Any] | None = None) -> Value:
    """The dataclass again; `others` are its fields that are no arrays."""
    own = {key.partition(".")[2]: array for key, array in arrays.items() if key.startswith(f"{name}.")}
    return kind(**own, **(others or {}))


def _postings(found: list[Postings]) -> dict[str, NDArray[Any]]:
    """Postings one after another."""
    some = [NOTHING, *found]
    none = np.zeros(0, np.bool_)
    return {
        "concepts.ends": np.cumsum([0, *map(len, found)], dtype=np.int64),
        "concepts.notes": np.concatenate([one.notes for one in some]),
        "concepts.impacts": np.concatenate([one.impacts for one in some]),
        "concepts.told": np.concatenate([none if one.told is None else one.told for one in some]),
    }


def _each_concept(arrays: Arrays) -> Iterator[Postings]:
    ends = arrays["concepts.ends"].tolist()
    columns = [arrays[f"concepts.{name}"] for name in _POSTINGS]
    for first, last in pairwise(ends):
        yield Postings(*(column[first:last] for column in columns)) if first < last else NOTHING
