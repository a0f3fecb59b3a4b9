"""What the database promises whichever it is: nothing lost, nothing half, nothing rewritten."""

from __future__ import annotations

import threading
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from alembic import command
from sqlalchemy import event, inspect, select, text
from sqlalchemy.exc import DBAPIError, IntegrityError
from sqlmodel import Session, SQLModel, col

from kb.desk.bay.advice import updates
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.errors import BadInput, NotDone, NotFound
from kb.nouns.people import Actor
from kb.records import migrate
from kb.records.engine import CONNECTIONS, open_engine
from kb.records.store.notes import note_references
from kb.records.store.shop import shop as shop_store
from kb.records.tables import CheckRow, NoteRow, Revision, Trail
from tests.factories import an_update

pytestmark = pytest.mark.both_databases

LEAD = Actor(0, "lead", "lead")
WRITERS, TIMES = 8, 12


def test_writers_of_two_processes_at_once_lose_no_update(shop: RunningShop, twin: RunningShop) -> None:
    """Each reads a number and writes it back one higher; a lost update would leave it too low."""
    together = threading.Barrier(WRITERS)

    def add_on(number: int) -> None:
        records = (twin if number % 2 else shop).records
        together.wait()
        for _ in range(TIMES):
            with records.writing() as session:
                row = session.get(Revision, (shop.facts.id, "lexicon"))
                assert row is not None
                row.number = row.number + 1

    with ThreadPoolExecutor(WRITERS) as people:
        for done in [people.submit(add_on, number) for number in range(WRITERS)]:
            done.result()
    with shop.reading() as desk:
        assert desk.revisions()["lexicon"] == WRITERS * TIMES


def test_who_waits_to_write_keeps_no_reader_from_a_connection(shop: RunningShop) -> None:
    """More of them than there are connections: a reader that gets none is refused after half a minute."""
    waiting = CONNECTIONS + 1

    def write() -> None:
        with shop.writing() as desk:
            desk.bump("notes")

    with ThreadPoolExecutor(waiting) as people:
        with shop.writing():
            work = [people.submit(write) for _ in range(waiting)]
            time.sleep(0.3)
            with shop.reading() as desk:
                assert desk.revisions()["notes"] == 0
        for done in work:
            done.result()
    with shop.reading() as desk:
        assert desk.revisions()["notes"] == waiting


def test_a_reader_sees_one_moment_while_others_write(shop: RunningShop) -> None:
    with shop.reading() as desk:
        before = desk.revisions()
        with shop.writing() as writer:
            writer.bump("notes")
        assert desk.revisions() == before
    with shop.reading() as desk:
        assert desk.revisions()["notes"] == before["notes"] + 1


def test_what_raises_saves_nothing(shop: RunningShop) -> None:
    with pytest.raises(NotFound), shop.writing(LEAD) as desk:  # noqa: PT012  # what comes before must go
        desk.note_down("half done", "note", None)
        desk.bump("notes")
        notes.read_note(desk, 999)
    with shop.reading() as desk:
        assert desk.revisions()["notes"] == 0
        assert desk.session.execute(select(col(Trail.action))).scalars().all() == []


def test_what_was_remembered_of_a_transaction_is_forgotten_when_its_commit_fails(shop: RunningShop) -> None:
    """The next transaction counts up to the same number, so what was remembered there would be believed."""

    def the_disk_is_full(_session: Session) -> None:
        raise OSError("no space left")

    with pytest.raises(OSError, match="no space"), shop.writing(LEAD) as desk:  # noqa: PT012
        notes.write_note(desk, an_update(number="NEVER-SAVED"))
        assert list(updates.on_file(desk).by_id)
        event.listen(desk.session, "before_commit", the_disk_is_full)
    with shop.writing(LEAD) as desk:
        notes.write_note(desk, an_update(number="SAVED"))
    with shop.reading() as desk:
        assert [one.number for one in updates.on_file(desk).by_id.values()] == ["SAVED"]


def test_a_commit_that_the_database_refuses_leaves_nothing_and_frees_the_pen(
    sqlite_shop: RunningShop,
) -> None:
    with pytest.raises(IntegrityError), sqlite_shop.writing() as desk:  # noqa: PT012
        desk.bump("notes")
        desk.session.execute(text("PRAGMA defer_foreign_keys=ON"))
        desk.session.execute(text("UPDATE revision SET shop_id = 999 WHERE topic = 'lexicon'"))
    with sqlite_shop.writing() as desk:
        assert desk.bump("notes") == 1


def test_every_column_that_points_at_a_note_keeps_it_from_undo_or_goes_with_it(shop: RunningShop) -> None:
    """A note that something else points at cannot be deleted, so an undo must know every such column.

    The databases' own catalogs are asked, not the list in the code.
    """
    found = inspect(shop.records.engine)
    pointing = {
        (name, key["constrained_columns"][0])
        for name in found.get_table_names()
        for key in found.get_foreign_keys(name)
        if key["referred_table"] == "note"
    }
    known = {(str(one.__tablename__), column) for one, column in note_references.KEEPING_A_NOTE}
    parts = ("note_code", "note_coverage", "note_document", "note_replaced", "note_revision", "note_step")
    assert pointing == known | {(part, "note_id") for part in parts}


def test_the_trail_is_only_ever_appended_to(shop: RunningShop) -> None:
    with shop.writing(LEAD) as desk:
        desk.note_down("wrote", "note", 1)
    for statement in ("UPDATE trail SET who = 'somebody else'", "DELETE FROM trail"):
        with pytest.raises(DBAPIError, match="only ever appended"), shop.writing(LEAD) as desk:
            desk.session.execute(text(statement))
    with shop.reading() as desk:
        assert [row.who for row in shop_store.trail(desk.session, desk.shop.id, noun="note", noun_id=1)] == [
            "lead"
        ]


def test_a_reference_to_nothing_is_refused(shop: RunningShop) -> None:
    with pytest.raises(IntegrityError), shop.writing() as desk:
        desk.session.execute(text("UPDATE revision SET shop_id = 999"))


def test_an_id_is_never_given_twice(shop: RunningShop) -> None:
    with shop.writing() as desk:
        [last] = desk.session.execute(select(CheckRow).order_by(col(CheckRow.id).desc()).limit(1)).scalars()
        gone = last.id
        desk.session.delete(last)
    with shop.writing() as desk:
        values = last.model_dump(exclude={"id"})
        row = CheckRow(**values)
        desk.session.add(row)
        desk.session.flush()
        assert row.id != gone


def test_the_migrations_make_the_tables_that_the_code_knows(shop: RunningShop) -> None:
    found = inspect(shop.records.engine)
    made = {
        name: {column["name"] for column in found.get_columns(name)}
        for name in found.get_table_names()
        if name != "alembic_version"
    }
    known = {
        table.name: {column.name for column in table.columns} for table in SQLModel.metadata.sorted_tables
    }
    assert made == known
    unkept = [
        name for name, columns in known.items() if "shop_id" in columns and not _has_shop_key(found, name)
    ]
    assert unkept == []


def _has_shop_key(found: object, name: str) -> bool:
    keys = found.get_foreign_keys(name)  # type: ignore[attr-defined]  # SQLAlchemy's inspector
    return any(key["constrained_columns"] == ["shop_id"] for key in keys)


def test_a_migration_that_fails_rolls_back_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = command.upgrade

    def half(config: object, revision: str) -> None:
        real(config, revision)  # type: ignore[arg-type]  # alembic's own config
        raise RuntimeError("the power went")

    monkeypatch.setattr(migrate.command, "upgrade", half)
    engine = open_engine(f"sqlite:///{tmp_path}/new.db")
    with pytest.raises(RuntimeError):
        migrate.migrate(engine)
    assert inspect(engine).get_table_names() == []
    monkeypatch.undo()
    migrate.migrate(engine)
    assert NoteRow.__tablename__ in inspect(engine).get_table_names()
    engine.dispose()


def test_a_shop_opens_while_somebody_else_writes(sqlite_shop: RunningShop) -> None:
    url = sqlite_shop.records.engine.url.render_as_string(hide_password=False)
    with sqlite_shop.writing(LEAD) as desk:
        desk.bump("notes")
        RunningShop.open(url).close()


def test_a_database_that_cannot_be_opened_says_so(tmp_path: Path) -> None:
    (tmp_path / "folder.db").mkdir()
    with pytest.raises(NotDone, match="cannot be opened here"):
        RunningShop.open(f"sqlite:///{tmp_path}/folder.db")


def test_postgresql_without_its_driver_names_the_extra_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("kb.records.engine.find_spec", lambda _name: None)
    with pytest.raises(BadInput, match=r"pip install --no-deps -r \.locked/postgres\.txt"):
        open_engine("postgresql://localhost/shop")
