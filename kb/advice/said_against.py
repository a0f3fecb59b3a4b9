"""Whether a complaint says what a bulletin says against its remedy, or the opposite of its conditions.

An entry is met where nearly all of its words that the note does not tell anyway (a dongle, not the dead
battery) stand together in the complaint, in the same or in other words.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from kb.nouns.advice import Against
from kb.search.meaning import Meaning, Word

SHARE = 0.6
"""Of the words that tell an entry apart, so many must be said: two of three, three of four."""
TOGETHER = 7
"""They stand within so many words."""


_READ_FROM_SPEEDS = frozenset(("highway", "idle"))
"""What figures of speed are read as ("8 to 3 mph") says nothing of where it happens."""


def says_so(complaint: Meaning, entry: Meaning, note: Meaning) -> bool:
    """Whether the complaint says what the entry says, beside what the note's title and symptom tell."""
    own, said = _beside(entry, note), _beside(complaint, note)
    return bool(own) and any(_met(own, said[at:], first.place) for at, first in enumerate(said))


def _beside(text: Meaning, note: Meaning) -> list[Word]:
    """The words of a text that the note does not tell anyway; a thing stays, also by another name."""
    stems, symptoms = {word.stem for word in note.words}, note.symptoms
    return [word for word in text.words if word.stem not in stems and word.concepts.isdisjoint(symptoms)]


def _met(asked: Sequence[Word], said: Sequence[Word], first: int) -> bool:
    near = [word for word in said if word.place - first < TOGETHER and not word.is_fine]
    held = [word for word in asked if any(word.means(other) for other in near)]
    faults = any(word.is_fault for word in held) or not any(word.is_fault for word in asked)
    return faults and len(held) >= math.ceil(SHARE * len(asked))


def against_conditions(
    complaint: Meaning, conditions: Meaning, printed: str, opposites: Mapping[str, str]
) -> tuple[Against, ...]:
    """Where the complaint denies a condition that the bulletin lists ("never warm"), or says that it happens
    only under its opposite ("only when cold"). `opposites` pairs concepts of conditions.
    """
    listed = conditions.concepts - _READ_FROM_SPEEDS
    denied = [words for concept, words in complaint.denied.items() if concept in listed]
    other = [
        words
        for concept, words in complaint.only.items()
        if concept not in listed and opposites.get(concept) in listed
    ]
    says = f"It lists as conditions: {printed}"
    return tuple(
        Against(says, f"you said: {words}", of_conditions=True) for words in dict.fromkeys((*denied, *other))
    )
