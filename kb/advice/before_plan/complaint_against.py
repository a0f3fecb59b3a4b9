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
"""Of the things that tell an entry apart, so many must be said: two of two, two of three, three of four."""
TOGETHER = 7
"""They stand within so many words."""
BESIDE = 3
"""Where nothing but a fault tells an entry apart, its thing stands that near, in the same clause."""


_READ_FROM_SPEEDS = frozenset(("highway", "idle"))
"""What figures of speed are read as ("8 to 3 mph") says nothing of where it happens."""

_Asked = Sequence[Sequence[Word]]
"""What is looked for: the words of each phrase count as one."""


def says_so(complaint: Meaning, entry: Meaning, note: Meaning) -> bool:
    """Whether the complaint says what the entry says, beside what the note's title and symptom tell."""
    own, said = _phrases(_beside(entry, note)), _beside(complaint, note)
    if all(word.is_fault for phrase in own for word in phrase):
        things = _phrases([word for word in entry.words if word.tells and not word.is_fault])
        return any(_met_beside(things, own, list(complaint.words), word) for word in complaint.words)
    return any(_met(own, said[at:], first.place) for at, first in enumerate(said))


def _beside(text: Meaning, note: Meaning) -> list[Word]:
    """The words of a text that the note does not tell anyway; a thing stays, also by another name."""
    stems, symptoms = {word.stem for word in note.words}, note.symptoms
    return [
        word
        for word in text.words
        if word.tells and word.stem not in stems and not (word.concepts and word.concepts <= symptoms)
    ]


def _phrases(words: Sequence[Word]) -> _Asked:
    """Neighbours that name one thing together ("12-volt battery") as one."""
    found: list[list[Word]] = []
    for word in words:
        if (
            found
            and word.place - found[-1][-1].place == 1
            and not word.concepts.isdisjoint(found[-1][-1].concepts)
        ):
            found[-1].append(word)
        else:
            found.append([word])
    return found


def _met(asked: _Asked, said: Sequence[Word], first: int) -> bool:
    near = [word for word in said if word.place - first < TOGETHER and not word.is_fine]
    held = [phrase for phrase in asked if _is_said(phrase, near)]
    faults = any(word.is_fault for phrase in asked for word in phrase)
    faulty = any(word.is_fault for phrase in held for word in phrase)
    return (faulty or not faults) and len(held) >= math.ceil(SHARE * len(asked))


def _met_beside(things: _Asked, faults: _Asked, said: Sequence[Word], fault: Word) -> bool:
    """Whether a fault is said, and of the entry's thing."""
    if not fault.is_fault or fault.is_fine or not any(_is_said(one, [fault]) for one in faults):
        return False
    near = [one for one in said if one.clause == fault.clause and abs(one.place - fault.place) <= BESIDE]
    return all(_is_said(thing, near) for thing in things)


def _is_said(phrase: Sequence[Word], said: Sequence[Word]) -> bool:
    """Whether all its words are said, or what they mean together."""
    meant = frozenset.intersection(*(word.concepts for word in phrase))
    return any(not meant.isdisjoint(other.concepts) for other in said) or all(
        any(word.means(other) for other in said) for word in phrase
    )


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
