"""Notes of one defect, joined: the best stands for all, the others are named under it.

What joins them is said by each entry itself (`same_as`, of kb/words/one_defect.py): two that share a key are
of one defect, and so is what either is joined with.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from typing import Protocol, TypeVar

import numpy as np

from kb.search.query import Id
from kb.search.snapshot import Part, Snapshot
from kb.search.stored.defects import key_number


class Placed(Protocol):
    """Something found: a note of a part."""

    @property
    def part(self) -> Part: ...
    @property
    def note(self) -> int: ...


Found = TypeVar("Found", bound=Placed)


def best_of_each(
    snapshot: Snapshot, found: Sequence[Found], most: int
) -> tuple[list[Found], dict[Id, tuple[Id, ...]]]:
    """The best found of at most so many defects, best first, and of each the others of its defect: those
    found in their order, then the rest on file by their ids.
    """
    heads: list[Found] = []
    others: dict[Id, dict[Id, None]] = {}
    groups: dict[Id, list[Id]] = {}
    head_of: dict[Id, Id] = {}
    for one in found:
        name = one.part.identity(one.note)
        if name in head_of:
            others[head_of[name]][name] = None
        elif len(heads) < most:
            heads.append(one)
            others[name] = {}
            groups[name] = sorted(part.identity(at) for part, at in same(snapshot, one.part, one.note))
            head_of |= dict.fromkeys(groups[name], name)
    also = {name: tuple({**others[name], **dict.fromkeys(group)}) for name, group in groups.items()}
    return heads, {name: tuple(one for one in group if one != name) for name, group in also.items()}


def others_of(snapshot: Snapshot, note_id: int, keys: Collection[str] = ()) -> tuple[Id, ...]:
    """The other notes of the defect of a note, by their ids; with `keys` those of a text known by them."""
    if keys:
        known = {part.identity(at) for part, at in _with_keys(snapshot, keys)}
        return tuple(sorted(one for one in known if one[0] != note_id))
    for part in snapshot.parts:
        for note in np.flatnonzero(part.segment.text.keys == note_id).tolist():
            if note not in part.dead and part.identity(note)[1] != "concern":
                found = {other.identity(at) for other, at in same(snapshot, part, note)}
                return tuple(sorted(found - {part.identity(note)}))
    return ()


def _with_keys(snapshot: Snapshot, keys: Collection[str]) -> Iterable[tuple[Part, int]]:
    """Every note that shares a key, with all that are of one defect with it."""
    numbers = [key_number(key) for key in keys]
    for part in snapshot.parts:
        for at in part.defects.notes_of(numbers):
            if at not in part.dead:
                yield from same(snapshot, part, at)


def same(snapshot: Snapshot, part: Part, note: int) -> Iterable[tuple[Part, int]]:
    """Every note on file that is of one defect with this one, itself included."""
    reached: dict[tuple[int, int], tuple[Part, int]] = {(id(part), note): (part, note)}
    keys: set[int] = set()
    waiting = [(part, note)]
    while waiting:
        part, note = waiting.pop()
        new = part.defects.keys_of(note) - keys
        keys |= new
        for other in snapshot.parts:
            for at in other.defects.notes_of(new):
                if (id(other), at) not in reached and at not in other.dead:
                    reached[id(other), at] = (other, at)
                    waiting.append((other, at))
    return reached.values()
