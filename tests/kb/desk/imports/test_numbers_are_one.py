"""However a shop writes a bulletin's number, it is one update with one record, whoever writes it first."""

from __future__ import annotations

import pytest
from sqlmodel import select

from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.desk.notes.notes import NoteFilter
from kb.nouns.notes import NoteKind, NoteState
from kb.records.tables import Outcome
from tests.factories import an_update
from tests.kb.desk.imports.importing import LEAD, counts, history, notes_file, take

pytestmark = pytest.mark.both_databases

WRITINGS = ("Vell-22", "VELL 22", "Vell\u201322", "vell22")


def updates_counted(shop: RunningShop) -> set[int | None]:
    with shop.records.reading() as session:
        return set(session.exec(select(Outcome.update_id)))


def a_history(shop: RunningShop) -> None:
    take(shop, "history", history(*({"ro_number": str(n), "update": w} for n, w in enumerate(WRITINGS, 1))))


def test_a_history_that_writes_one_number_in_four_ways_makes_one_draft(shop: RunningShop) -> None:
    a_history(shop)
    with shop.reading(LEAD) as desk:
        [line] = notes.list_notes(desk, NoteFilter()).lines
    assert (line.number, line.state) == ("Vell-22", NoteState.DRAFT)
    assert updates_counted(shop) == {line.id}


@pytest.mark.parametrize("state", [NoteState.PUBLISHED, NoteState.DRAFT])
def test_the_bulletin_written_after_it_keeps_id_and_record(shop: RunningShop, state: NoteState) -> None:
    a_history(shop)
    with shop.writing(LEAD) as desk:
        written = notes.write_note(desk, an_update(number="VELL\u201122", state=state))
        assert notes.list_notes(desk, NoteFilter()).total == 1
    assert updates_counted(shop) == {written.id}
    assert (written.version, written.content.number, written.content.source) == (2, "VELL\u201122", "shop")


def test_a_lesson_or_a_second_bulletin_of_that_number_takes_nothing_over(shop: RunningShop) -> None:
    a_history(shop)
    with shop.writing(LEAD) as desk:
        lesson = notes.write_note(desk, an_update(number="Vell-22", kind=NoteKind.LESSON, steps=()))
        first = notes.write_note(desk, an_update(number="Vell-22"))
        second = notes.write_note(desk, an_update(number="Vell-22"))
    assert len({lesson.id, first.id, second.id}) == 3
    assert updates_counted(shop) == {first.id}


def test_a_file_of_notes_fills_it_too_and_a_history_after_it_counts_there(shop: RunningShop) -> None:
    a_history(shop)
    filled = take(shop, "notes", notes_file({"number": "VELL-22", "title": "Bucks uphill"}))
    assert counts(filled) == (0, 1, 0)
    take(shop, "history", history({"ro_number": "9", "update": "vell_22"}))
    with shop.reading(LEAD) as desk:
        [line] = notes.list_notes(desk, NoteFilter()).lines
    assert (line.title, line.state) == ("Bucks uphill", NoteState.PUBLISHED)
    assert updates_counted(shop) == {line.id}
