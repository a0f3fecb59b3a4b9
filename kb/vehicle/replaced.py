"""Which notes stand in for others: what a note says it replaces, within one make and without a circle."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

Replaced = Mapping[int, tuple[int, ...]]
"""By the id of a replaced note those that replace it, each in one step."""


def replaced(pairs: Iterable[tuple[int, int]], makes: Mapping[int, frozenset[str]]) -> Replaced:
    """`pairs` are (newer, older) as the newer say; `makes` are folded, none for a note that names no vehicle.

    Two makers may print one number, so both must be for a make in common or one of them for any. Where notes
    replace each other in a circle, none of them counts as replaced: nobody can tell which is the newer.
    """
    said: dict[int, set[int]] = defaultdict(set)
    for newer, older in pairs:
        mine, theirs = makes.get(newer, frozenset()), makes.get(older, frozenset())
        if newer != older and (mine & theirs or not (mine and theirs)):
            said[older].add(newer)
    kept = {
        old: sorted(new for new in news if old not in standing_in(new, said)) for old, news in said.items()
    }
    return {old: tuple(news) for old, news in kept.items() if news}


def standing_in(note_id: int, known: Mapping[int, Iterable[int]]) -> tuple[int, ...]:
    """Every note that stands in for this one, nearest first, directly or by steps."""
    found: dict[int, None] = {}
    waiting = [note_id]
    while waiting:
        for newer in sorted(known.get(waiting.pop(0), ())):
            if newer not in found:
                found[newer] = None
                waiting.append(newer)
    return tuple(found)


def below_their_replacements(ids: Sequence[int | None], known: Replaced) -> list[int]:
    """In which order to show these, best first: the places of `ids`, None for what is no note.

    One that is replaced comes right behind the last of those that stand in for it and are among them; all
    others stay as they are.
    """
    place = {one: at for at, one in enumerate(ids) if one is not None}

    def key(at: int) -> tuple[int, int, int]:
        one = ids[at]
        newer = [place[new] for new in standing_in(one, known) if new in place] if one is not None else []
        last = max(newer, default=-1)
        return (last, len(newer), at) if last > at else (at, 0, at)

    return sorted(range(len(ids)), key=key)
