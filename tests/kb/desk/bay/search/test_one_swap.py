"""A note that is saved again is never missing from the search, not even while it is taken in."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kb.desk.bay.search import search_memory
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.notes import NoteKind
from kb.search.growing import Held
from kb.search.index import SearchIndex
from kb.search.query import Query
from tests.factories import actor_of, an_update


def test_a_saved_note_is_found_at_every_moment_as_it_was_or_as_it_is(
    sqlite_shop: RunningShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    lead = actor_of(sqlite_shop, "lead")
    with sqlite_shop.writing(lead) as desk:
        saved = notes.write_note(desk, an_update())
        other = notes.write_note(
            desk, an_update(number="NV-24-102", title="Radio loses its stations", steps=())
        )
    query = Query("bucking at light throttle")
    with sqlite_shop.reading(lead) as desk:
        index = search_memory.index(desk)
    seen: list[set[int]] = []
    publish = SearchIndex._publish

    def published(self: SearchIndex, held: Held) -> None:
        publish(self, held)
        seen.append({hit.id for hit in self.search(query).results})

    with sqlite_shop.writing(lead) as desk:
        changed = replace(saved.content, body="Reflash it, then drive it warm.", kind=NoteKind.BULLETIN)
        notes.change_note(desk, saved.id, saved.version, changed)
        notes.retire_note(desk, other.id, other.version, "of the radio")
    monkeypatch.setattr(SearchIndex, "_publish", published)
    with sqlite_shop.reading(lead) as desk:
        assert search_memory.index(desk) is index
    assert [saved.id in ids for ids in seen] == [True]
    assert other.id not in {hit.id for hit in index.search(Query("radio loses its stations")).results}
