"""Notes of a database older than the kinds of codes: read after the upgrade as they were meant."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from alembic import command
from sqlalchemy import text

from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.notes import CodeKind, NoteCode, Remedy
from kb.nouns.people import Actor
from kb.records.migrate import alembic_config, migrate
from tests.factories import a_note, an_update

pytestmark = pytest.mark.both_databases
LEAD = Actor(0, "lead", "lead")


def test_codes_of_an_older_database_define_unless_many_faults_set_them_and_steps_mean_software(
    shop: RunningShop,
) -> None:
    named = ("B1A04", "P0171", "P0300", "U0100-87", "P0562", "P0741")
    with shop.writing(LEAD) as desk:
        update = notes.write_note(desk, an_update(codes=named))
        lesson = notes.write_note(desk, a_note(codes=("P0087",)))
        notes.change_note(desk, update.id, 1, replace(update.content, title="Bucks"))
    with shop.reading(LEAD) as desk:
        written = notes.read_note(desk, update.id).content
    engine = shop.records.engine
    with engine.execution_options(beforeflash_writes=True).begin() as connection:
        # A revision of an older program names its codes only.
        command.downgrade(alembic_config(connection), "0006")
        for row in connection.execute(text("SELECT id, content FROM note_revision")).all():
            connection.execute(
                text("UPDATE note_revision SET content = :content WHERE id = :id"),
                {"id": row.id, "content": _as_of_old(row.content)},
            )
    migrate(engine)
    shop.memory.forget()
    with shop.reading(LEAD) as desk:
        upgraded = notes.read_note(desk, update.id).content
        assert upgraded == written
        assert upgraded.remedy is Remedy.SOFTWARE
        assert [one for one in upgraded.codes if one.kind is CodeKind.DEFINING] == [
            NoteCode("B1A04"),
            NoteCode("P0741"),
        ]
        assert notes.read_note(desk, lesson.id).content.remedy is Remedy.NOT_SAID
        assert [one.content.codes for one in notes.list_revisions(desk, update.id)] == [written.codes] * 2


def _as_of_old(content: object) -> str:
    told = json.loads(content) if isinstance(content, str) else dict(content)  # type: ignore[call-overload]
    for name in ("code_kinds", "speaks_against", "remedy", "remedy_module"):
        told.pop(name)
    return json.dumps(told)
