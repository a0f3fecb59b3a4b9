"""Which part of the index an entry stands in while the file grows: one large, some middling, a small one that
is made anew with every put.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace

from kb.search.query import Id, IndexEntry
from kb.search.snapshot import Part

SMALL = 128  # notes at most in the part that is made anew with every put
MIDDLE = 1_024  # notes at most in the part that takes in the small one
Entries = tuple[IndexEntry, ...]
Make = Callable[[Entries], Part]
"""Makes a part of entries."""


@dataclass(frozen=True, slots=True)
class _Growing:
    """Entries that will be indexed again together with more, and the one part they make now, or none."""

    entries: Entries = ()
    parts: tuple[Part, ...] = ()

    def without(self, ids: Collection[Id]) -> _Growing:
        kept = tuple(entry for entry in self.entries if (entry.id, entry.kind) not in ids)
        return _Growing(kept, tuple(part.without(ids) for part in self.parts))


@dataclass(frozen=True, slots=True)
class Held:
    """All parts of an index: those that are settled, and the middle and small one that still grow."""

    settled: tuple[Part, ...]
    middle: _Growing = _Growing()
    small: _Growing = _Growing()

    @property
    def parts(self) -> tuple[Part, ...]:
        return (*self.settled, *self.middle.parts, *self.small.parts)

    def without(self, ids: Collection[Id]) -> Held:
        """With some entries marked as gone, which are not indexed again."""
        settled = tuple(part.without(ids) for part in self.settled)
        return Held(settled, self.middle.without(ids), self.small.without(ids))

    def with_more(self, entries: Entries, make: Make) -> Held:
        """Many entries settle at once; a full small part goes into the middle one, which settles if full."""
        if len(entries) > SMALL:
            return replace(self, settled=(*self.settled, make(entries)))
        held = (*self.small.entries, *entries)
        if len(held) <= SMALL:
            return replace(self, small=_Growing(held, (make(held),)))
        held = (*self.middle.entries, *held)
        made = make(held)
        if len(held) >= MIDDLE:
            return Held((*self.settled, made))
        return Held(self.settled, _Growing(held, (made,)))

    def shown(self, parts: Sequence[Part]) -> Held:
        """The same with these parts, in order, in the place of its own."""
        first, second = len(self.settled), len(self.settled) + len(self.middle.parts)
        return Held(
            tuple(parts[:first]),
            replace(self.middle, parts=tuple(parts[first:second])),
            replace(self.small, parts=tuple(parts[second:])),
        )

    def each(self, change: Callable[[Part], Part]) -> Held:
        """The same with every part changed."""
        return self.shown(tuple(map(change, self.parts)))
