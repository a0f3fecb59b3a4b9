"""What updates are called, whatever became of their notes: drafts, retired and merged ones too."""

from __future__ import annotations

from collections.abc import Iterable

from kb.desk.bay.advice import updates as updates_desk
from kb.desk.context import Desk
from kb.nouns.outcomes import NO_UPDATE
from kb.records.store.outcomes import outcomes as store

NOT_NAMED = ("not named", "Reflashes whose update nobody named")
Names = dict[int, tuple[str, str]]


def names_of(desk: Desk, update_ids: Iterable[int | None]) -> Names:
    """Number and title by id; of a merged note those of the one that is kept."""
    updates = updates_desk.on_file(desk)
    ids = {one: updates.kept(one) for one in update_ids if one}
    told = {one: (here.number, here.title) for one in ids.values() if (here := updates.by_id.get(one))}
    if others := set(ids.values()) - told.keys():
        told |= store.numbers_and_titles(desk.session, others)
    return {one: told[kept] for one, kept in ids.items() if kept in told}


def counted_names(desk: Desk) -> Names:
    """Of every update that a reflash counts to, by the id it counts under, and of no update (0).

    Remembered until a note changes or something is reflashed.
    """
    revision = desk.up_to("outcomes", "notes", "notes_removed")
    return desk.memory.recall("counted names", revision, lambda: _counted_names(desk))


def _counted_names(desk: Desk) -> Names:
    kept = updates_desk.on_file(desk).kept
    ids = {kept(one) for one in store.updates_reflashed(desk.session, desk.shop.id)}
    return {NO_UPDATE: NOT_NAMED, **names_of(desk, ids)}
