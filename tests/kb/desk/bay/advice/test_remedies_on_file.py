"""A remedy that an importer reads: brought up by the next import, and never over what a person set."""

from __future__ import annotations

from dataclasses import replace

from sqlalchemy import update

from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.notes import Note, Remedy
from kb.records.tables import NoteRow
from tests.factories import actor_of
from tests.kb.desk.imports.importing import take
from tests.kb.intake.reading import FIXTURES

ROWS = (FIXTURES / "software_recall.csv").read_bytes()


def the_note(shop: RunningShop) -> Note:
    with shop.reading(actor_of(shop, "lead")) as desk:
        return notes.read_note(desk, 1)


def as_imported_before(shop: RunningShop) -> None:
    """The recall as a program left it that did not read remedies yet."""
    take(shop, "recall-communications", ROWS)
    with shop.writing(actor_of(shop, "lead")) as desk:
        desk.session.execute(update(NoteRow).values(remedy="", remedy_module=""))


def test_another_import_says_the_remedy_where_none_is_said(sqlite_shop: RunningShop) -> None:
    as_imported_before(sqlite_shop)
    assert not the_note(sqlite_shop).is_update
    take(sqlite_shop, "recall-communications", ROWS)
    note = the_note(sqlite_shop)
    assert (note.content.remedy, note.content.remedy_module) == (Remedy.SOFTWARE, "infotainment")
    assert note.is_update
    take(sqlite_shop, "recall-communications", ROWS)
    assert the_note(sqlite_shop).version == note.version


def test_what_a_person_set_is_kept_by_another_import(sqlite_shop: RunningShop) -> None:
    take(sqlite_shop, "recall-communications", ROWS)
    with sqlite_shop.writing(actor_of(sqlite_shop, "lead")) as desk:
        note = notes.read_note(desk, 1)
        notes.change_note(desk, 1, note.version, replace(note.content, remedy=Remedy.INSPECT_THEN_SOFTWARE))
    take(sqlite_shop, "recall-communications", ROWS)
    assert the_note(sqlite_shop).content.remedy is Remedy.INSPECT_THEN_SOFTWARE
