"""What is remembered of updates grows by what was saved; it must be what reading all of them anew tells."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kb.desk.bay.advice import updates
from kb.desk.context import RunningShop
from kb.desk.notes import checks, merging_notes, notes
from kb.nouns.notes import SpeaksAgainst
from tests.factories import a_note, an_update
from tests.kb.desk.imports.importing import LEAD, TECH

pytestmark = pytest.mark.both_databases


def on_file(shop: RunningShop) -> updates.UpdatesOnFile:
    with shop.reading(TECH) as desk:
        return updates.on_file(desk)


def test_what_grew_is_what_reading_all_anew_tells(shop: RunningShop, twin: RunningShop) -> None:
    def same() -> updates.UpdatesOnFile:
        grown = on_file(shop)
        twin.memory.forget()
        assert grown == on_file(twin)
        return grown

    with shop.writing(LEAD) as desk:
        first = notes.write_note(desk, an_update(number="A-1"))
        second = notes.write_note(desk, an_update(number="A-2"))
    assert set(same().by_id) == {first.id, second.id}
    with shop.writing(LEAD) as desk:
        notes.write_note(desk, replace(an_update(number="A-3"), replaces=("A-1",)))
        notes.write_note(desk, a_note())
    assert first.id in same().replaced
    against = SpeaksAgainst("The intake hose may be split.")
    with shop.writing(LEAD) as desk:
        notes.change_note(desk, first.id, 1, replace(first.content, title="Other", speaks_against=(against,)))
    assert same().by_id[first.id].checks
    with shop.writing(LEAD) as desk:
        merging_notes.merge_notes(desk, first.id, second.id)
    assert same().kept(second.id) == first.id
    with shop.writing(LEAD) as desk:
        merging_notes.unmerge_note(desk, second.id)
    assert same().kept(second.id) == second.id
    check = next(iter(same().by_id[first.id].checks))
    with shop.writing(LEAD) as desk:
        asked = checks.read_check(desk, check)
        checks.change_check(desk, check, asked.version, replace(asked.content, attached_to=(second.id,)))
    assert same().by_id[second.id].checks == {check}
    with shop.writing(LEAD) as desk:
        notes.retire_note(desk, first.id, 2, "superseded")
    assert first.id not in same().by_id


def test_a_note_that_is_no_update_leaves_what_is_remembered_the_very_same(shop: RunningShop) -> None:
    """What is counted and reported rests on it: it was all counted anew with every lesson."""
    with shop.writing(LEAD) as desk:
        notes.write_note(desk, an_update(number="A-1"))
    before = on_file(shop)
    with shop.writing(LEAD) as desk:
        notes.write_note(desk, a_note())
    assert on_file(shop) is before
