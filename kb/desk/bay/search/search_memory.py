"""One search index over published notes and past concerns, current at every request.

Promise: a note or concern committed before a request is found by it, in every process. The index remembers
the revisions it was brought up to and takes in only what changed since; an undone import makes it anew.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import closing, suppress
from dataclasses import dataclass, replace
from functools import lru_cache, partial
from pathlib import Path

from sqlalchemy.exc import SQLAlchemyError

from kb.desk.bay.search import everything, families, kept_index
from kb.desk.bay.search.entries import CONCERN, UPDATE, concern_entry, note_entry
from kb.desk.bay.search.everything import Progress
from kb.desk.bay.search.kept_index import Held, Seen, Words
from kb.desk.context import CONSOLE, Desk, RunningShop
from kb.errors import KbError
from kb.nouns.notes import NoteKind
from kb.records.files.freed_memory import give_memory_back
from kb.records.store.bay import searching as store
from kb.records.store.notes.note_texts import note_texts
from kb.search.index import SearchIndex
from kb.search.query import Query, SearchAnswer
from kb.words.concepts import trade_concepts
from kb.words.english import english_words
from kb.words.lexicon import Lexicon, make_lexicon

_KEY = "search index"
NOTES_AND_TALK = ("notes", "notes_removed", "lexicon")
"""What is read of notes in the words of the shop is good until one of these changes."""
_ANSWERS = 300
"""So many answers are remembered at most; another one takes the place of one of them."""


MANY = 150
"""So many changed entries, or this share of all, are taken in faster by making the index anew."""
_SHARE = 0.02


def warm(shop: RunningShop, progress: Progress | None = None) -> int:
    """Make the index before anybody asks; who asks meanwhile waits for it. Gives how many entries it holds.

    `progress` is told how many were taken, about every 10,000.
    """
    with shop.reading(CONSOLE) as desk:
        return len(index(desk, progress=progress))


def read_ahead(url: str, data_folder: Path) -> None:
    """Read what a search of the shop at `url` rests on before there are workers, for all that are divided
    from this process; nothing is open afterwards. Without a shop, or an index on file, only what comes with
    the program.
    """
    english_words()
    _lexicon_with(())
    with (
        suppress(KbError, SQLAlchemyError, OSError, ValueError, KeyError, TypeError),
        closing(RunningShop.look_at(url, data_folder=data_folder)) as shop,
    ):
        kept_index.share(shop)
        with shop.reading(CONSOLE) as desk:
            read_by = Words(lexicon_in_force(desk), families.in_force(desk), 0)
        kept_index.read_ahead(shop, read_by)


def index(desk: Desk, kinds: Sequence[str] = (), progress: Progress | None = None) -> SearchIndex:
    """The index, brought up to what this request's transaction sees of the kinds asked for (empty: all).

    Call it before the request saves a note or concern: what a request saved and then rolled back would stay.
    """
    now = desk.revisions()
    seen = Seen(now["notes"], now["notes_removed"], now["concerns"], now["lexicon"])
    old = desk.memory.revision_of(_KEY)
    if kinds and CONCERN not in kinds and isinstance(old, Seen):
        seen = replace(seen, concerns=old.concerns)
    return desk.memory.renew(_KEY, seen, lambda _old, held: _Renewing(desk, seen, progress).of(held)).index


def answered(desk: Desk, kinds: Sequence[str], query: Query) -> SearchAnswer:
    """What the index answers, remembered until something that it was asked among changes."""
    with_concerns = not kinds or CONCERN in kinds
    key = (query, *desk.up_to(*NOTES_AND_TALK, *(("concerns",) if with_concerns else ())))
    at = ("answer", hash(query) % _ANSWERS)
    return desk.memory.recall(at, key, lambda: index(desk, kinds).search(query))


@dataclass(frozen=True, slots=True)
class _Renewing:
    """Brings an index up to `now`: the one at hand, else that of the file, else one made of everything."""

    desk: Desk
    now: Seen
    progress: Progress | None

    def of(self, held: Held | None) -> Held:
        if held is not None and held.seen.covers(self.now):
            return held
        if held is not None and (grown := self._grown(held.seen, len(held.index), lambda: held.index)):
            return grown
        read_by = Words(lexicon_in_force(self.desk), families.in_force(self.desk), self.now.lexicon)
        found = kept_index.from_file(self.desk, read_by, self._grown)
        build = partial(_built, self.desk, self.now, self.progress)
        return found or kept_index.made_once(self.desk, read_by, self._grown, build)

    def _grown(self, seen: Seen, entries: int, held: Callable[[], SearchIndex]) -> Held | None:
        """An index that is up to something with what changed since; None where it is made anew sooner."""
        if seen.covers(self.now):
            return Held(held(), seen)
        if seen.removed != self.now.removed:
            return None
        session, shop_id = self.desk.session, self.desk.shop.id
        notes = store.changed_notes(session, shop_id, seen.notes)
        wanted = self.now.concerns != seen.concerns
        concerns = store.changed_concerns(session, shop_id, seen.concerns) if wanted else []
        if len(notes) + len(concerns) > max(MANY, int(_SHARE * entries)):
            return None
        index = held()
        if seen.lexicon != self.now.lexicon:
            index.use_lexicon(lexicon_in_force(self.desk))
            if index.families != families.in_force(self.desk):
                index.use_families(families.in_force(self.desk))
        _take_in(self.desk, index, notes, concerns)
        return Held(index, self.now)


def _built(desk: Desk, now: Seen, progress: Progress | None) -> Held:
    known = families.in_force(desk)
    index = SearchIndex.of_rows(everything.taken_in(desk, progress), lexicon_in_force(desk), known)
    give_memory_back()
    return Held(index, now)


def _take_in(
    desk: Desk, held: SearchIndex, changed: Sequence[tuple[int, bool]], concerns: Sequence[int]
) -> None:
    """Change the index in one step. A note leaves under every kind: it may have been of another one."""
    gone = [(note_id, kind) for note_id, _ in changed for kind in (*map(str, NoteKind), UPDATE)]
    published = [note_id for note_id, is_out in changed if is_out]
    entries = [note_entry(text) for text in note_texts(desk.session, published)]
    entries += [concern_entry(text) for text in store.concern_texts(desk.session, concerns)]
    if gone or entries:
        held.put_all(entries, gone)


def lexicon_in_force(desk: Desk) -> Lexicon:
    """The lexicon that came with the program, with what the shop added and took out."""
    changes = desk.once("shop talk", lambda: tuple(store.lexicon_changes(desk.session, desk.shop.id)))
    return _lexicon_with(changes)


@lru_cache(maxsize=1)
def _lexicon_with(changes: tuple[tuple[str, str, bool], ...]) -> Lexicon:
    return make_lexicon(
        trade_concepts(),
        added=[(concept, phrase) for concept, phrase, removes in changes if not removes],
        removed=[(concept, phrase) for concept, phrase, removes in changes if removes],
    )
