"""The search index in a file: built by one process, mapped by all, made anew when it is of anything else.

A file is ours if it was written by this very program, words and all, and if what it was made from is still a
past of this database: the newest line that the trail had then is still in it. A backup that was put back, or
another shop under the same name, has another line there. What was saved since is taken in as ever.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from functools import lru_cache
from hashlib import blake2b
from pathlib import Path

import kb.search
from kb.desk.context import Desk, RunningShop
from kb.desk.opening_database import name_in_files
from kb.errors import KbError
from kb.records.files.array_file import ArrayFile, ArrayFolder
from kb.records.files.freed_memory import give_memory_back
from kb.records.store.shop import shop as shop_store
from kb.records.store.shop.opening import the_shop
from kb.search.index import SearchIndex
from kb.search.stored.packing import Packed
from kb.vehicle.families import Families
from kb.words.lexicon import Lexicon

WAITS_SECONDS = 600.0
"""So long at most one process waits for another that makes the index; then it makes its own."""
_log = logging.getLogger("beforeflash")
_ahead: dict[Path, SearchIndex] = {}


@dataclass(frozen=True, slots=True)
class Seen:
    """The revisions that an index is up to."""

    notes: int
    removed: int
    concerns: int
    lexicon: int

    def covers(self, other: Seen) -> bool:
        """At least as far as the other in every topic."""
        pairs = zip(asdict(self).values(), asdict(other).values(), strict=True)
        return all(mine >= theirs for mine, theirs in pairs)


@dataclass(frozen=True, slots=True)
class Held:
    """An index and what it is up to. A request that began earlier may find it newer than its own view."""

    index: SearchIndex
    seen: Seen


@dataclass(frozen=True, slots=True)
class Words:
    """What an index reads by, and of which revision that is."""

    lexicon: Lexicon
    families: Families
    revision: int


Grown = Callable[[Seen, int, Callable[[], SearchIndex]], Held | None]
"""Brings an index that is up to something, of so many entries, up to now; None if it is made anew sooner."""


def share(shop: RunningShop) -> None:
    """Keep the index in a folder from now on, for all processes of this computer that have the shop open."""
    if shop.data_folder is not None:
        folder = shop.data_folder / "search"
        shop.memory.files = ArrayFolder(folder, name_in_files(shop.records.engine.url))


def from_file(desk: Desk, words: Words, grown: Grown) -> Held | None:
    """The index of the newest file brought up to now, if there is one of use."""
    files = desk.memory.files
    found = files.newest(program_mark()) if files else None
    if found is None or not _is_past_of(desk, found):
        return None
    try:
        facts = found.facts
        seen = replace(Seen(**facts["seen"]), lexicon=words.revision)
        return grown(seen, facts["entries"], lambda: _read(found, words))
    except (KbError, OSError, ValueError, KeyError, TypeError) as fault:
        _log.warning("the search index on disk is made anew: %s", fault)
        return None


def read_ahead(shop: RunningShop, words: Words) -> None:
    """Map the newest file now, for the first who asks for it in this process or one divided from it."""
    files = shop.memory.files
    if files and (found := files.newest(program_mark())):
        _ahead[found.file] = _read(found, words)


def made_once(desk: Desk, words: Words, grown: Grown, build: Callable[[], Held]) -> Held:
    """The index built, by one process at a time: who comes second takes the file of the first.

    A request that writes may see what is never saved, so that it builds for itself alone.
    """
    files = desk.memory.files
    if files is None or desk.gathered is None:
        return build()
    with files.alone(WAITS_SECONDS) as alone:
        return from_file(desk, words, grown) or (_kept(desk, files, words, build()) if alone else build())


def _kept(desk: Desk, files: ArrayFolder, words: Words, held: Held) -> Held:
    """The same index out of its file; itself where none can be written."""
    trail = shop_store.newest_trail_line(desk.session, desk.shop.id)
    told, entries = held.index.packed(), len(held.index)
    facts = {
        "seen": asdict(held.seen),
        "shop": _opened(desk),
        "trail": trail,
        "entries": entries,
        "packed": told.facts,
    }
    try:
        files.keep(program_mark(), facts, told.arrays)
    except OSError as fault:
        _log.warning("the search index is kept in this process alone: %s", fault)
        return held
    found, seen = files.newest(program_mark()), held.seen
    if found is None:
        return held
    del told, held  # what the index was made of is twice what it is
    give_memory_back()
    return Held(_read(found, words), seen)


def _read(found: ArrayFile, words: Words) -> SearchIndex:
    if (ahead := _ahead.pop(found.file, None)) is None:
        packed = Packed(found.facts["packed"], found.arrays())
        return SearchIndex.of_packed(packed, words.lexicon, words.families)
    if ahead.lexicon != words.lexicon:
        ahead.use_lexicon(words.lexicon)
    if ahead.families != words.families:
        ahead.use_families(words.families)
    return ahead


def _is_past_of(desk: Desk, found: ArrayFile) -> bool:
    line = found.facts.get("trail")
    same = found.facts.get("shop") == _opened(desk)
    return same and (line is None or shop_store.has_trail_line(desk.session, desk.shop.id, *line))


def _opened(desk: Desk) -> str:
    shop = the_shop(desk.session)
    return shop.created_at.isoformat() if shop else ""


@lru_cache(maxsize=1)
def program_mark() -> str:
    """The same for processes of one program: all that reads notes and numbers their words is in it."""
    folder, mark = Path(kb.search.__path__[0]).parent, blake2b(digest_size=16)
    for file in sorted(one for kind in ("py", "toml") for one in folder.rglob(f"*.{kind}")):
        mark.update(file.read_bytes())
    return mark.hexdigest()
