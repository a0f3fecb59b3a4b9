"""Importing notes: nothing twice, nothing half, and an undo that respects what people did since."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kb.desk.bay.search.search import SearchRequest, search
from kb.desk.context import RunningShop
from kb.desk.imports import import_undo, imports
from kb.desk.imports.import_told import ImportState
from kb.desk.notes import merging_notes, notes
from kb.errors import BadInput, NotAllowed, Unreadable
from kb.nouns.imports import HowToRead
from kb.nouns.notes import NoteState
from tests.factories import an_update
from tests.kb.desk.imports.importing import LEAD, TECH, counts, everything, notes_file, take, view

pytestmark = pytest.mark.both_databases

IDLE = {"number": "NV-1", "title": "Idle hunts when cold", "body": "Look for a leak.", "make": "Norvane"}
SHIFT = {"number": "NV-2", "title": "Harsh shift into second", "body": "Check the fluid.", "make": "Norvane"}
FILE = notes_file(IDLE, SHIFT)


def found(shop: RunningShop, text: str) -> list[str]:
    with shop.reading(TECH) as desk:
        return [one.number for one in search(desk, SearchRequest(text)).results]


def note_id(shop: RunningShop, number: str) -> int:
    with shop.reading(TECH) as desk:
        page = notes.list_notes(desk, notes.NoteFilter(text=number))
    return page.lines[0].id


def test_what_was_imported_is_found_and_known_again(shop: RunningShop) -> None:
    before = everything(shop)
    assert found(shop, "hunts") == []
    first = take(shop, "notes", FILE)
    assert counts(first) == (2, 0, 0)
    assert (first.state, first.done, first.total) == (ImportState.DONE, 2, 2)
    assert found(shop, "hunts") == ["NV-1"]
    taken = everything(shop)
    again = take(shop, "notes", FILE)
    assert counts(again) == (0, 0, 2)
    assert everything(shop) == taken
    import_undo.undo_import(shop, LEAD, first.id)
    assert everything(shop) == before
    assert found(shop, "hunts") == []
    assert counts(take(shop, "notes", FILE)) == (2, 0, 0)


def test_a_dry_run_says_what_would_happen_and_writes_nothing(shop: RunningShop) -> None:
    take(shop, "notes", notes_file(IDLE))
    before = everything(shop)
    would = take(shop, "notes", notes_file(IDLE | {"body": "Look twice."}, SHIFT), dry_run=True)
    assert counts(would) == (1, 1, 0)
    assert "would be new" in would.sentence
    assert everything(shop) == before
    with pytest.raises(BadInput):
        import_undo.undo_import(shop, LEAD, would.id)


def test_a_changed_note_goes_back_one_revision(shop: RunningShop) -> None:
    take(shop, "notes", FILE)
    before = everything(shop)
    changed = take(shop, "notes", notes_file(IDLE | {"body": "Look twice."}, SHIFT))
    assert counts(changed) == (0, 1, 1)
    with shop.reading(TECH) as desk:
        assert notes.read_note(desk, note_id(shop, "NV-1")).content.body == "Look twice."
    import_undo.undo_import(shop, LEAD, changed.id)
    assert everything(shop) == before
    assert view(shop, changed.id).reverted == 1


def test_a_note_edited_here_is_neither_overwritten_nor_undone(shop: RunningShop) -> None:
    first = take(shop, "notes", FILE)
    edited = note_id(shop, "NV-1")
    with shop.writing(LEAD) as desk:
        note = notes.read_note(desk, edited)
        notes.change_note(desk, edited, 1, replace(note.content, body="Look at the PCV hose."))
    assert take(shop, "notes", FILE).warning_count == 0, "the file says nothing new"
    later = take(shop, "notes", notes_file(IDLE | {"body": "Look twice."}))
    assert (counts(later), later.warning_count) == ((0, 0, 1), 1)
    import_undo.undo_import(shop, LEAD, first.id)
    undone = view(shop, first.id)
    assert [(one.id, one.why) for one in undone.kept] == [(edited, "edited since")]
    assert undone.removed == 1
    with shop.reading(TECH) as desk:
        assert notes.read_note(desk, edited).content.body == "Look at the PCV hose."


def test_a_note_used_since_is_kept_and_listed(shop: RunningShop) -> None:
    first = take(shop, "notes", FILE)
    with shop.writing(LEAD) as desk:
        duplicate = notes.write_note(desk, an_update()).id
        merging_notes.merge_notes(desk, note_id(shop, "NV-2"), duplicate)
    import_undo.undo_import(shop, LEAD, first.id)
    assert [one.why for one in view(shop, first.id).kept] == ["used since"]


def test_a_wrong_row_is_listed_and_stops_nothing(shop: RunningShop) -> None:
    wrong = {"number": "NV-3", "title": "Stall", "codes": "P01711"}
    taken = take(shop, "notes", notes_file(IDLE | {"codes": ""}, wrong, SHIFT | {"codes": ""}))
    assert counts(taken) == (2, 0, 0)
    [error] = taken.errors
    assert (error.line, error.field, taken.error_count) == (3, "codes", 1)


def test_a_circle_of_calibrations_is_refused_row_by_row(shop: RunningShop) -> None:
    forth = {"number": "NV-1", "title": "a", "make": "Norvane", "module": "PCM"}
    forth |= {"calibration_before": "A1", "calibration_after": "A2"}
    take(shop, "notes", notes_file(forth))
    back = forth | {"number": "NV-2", "calibration_before": "A2", "calibration_after": "A1"}
    taken = take(shop, "notes", notes_file(back))
    assert (counts(taken), taken.error_count) == ((0, 0, 0), 1)
    assert taken.nothing_taken
    assert "A1" in taken.errors[0].message


def test_a_row_with_two_errors_is_left_out_once_and_a_header_alone_takes_nothing(shop: RunningShop) -> None:
    header = b"ro_number,complaint,opened_on,returned_on\n"
    taken = take(shop, "history", header + b"1,Stalls,someday,one day\n2,Stalls,2026-03-01,\n")
    assert taken.error_count > taken.left_out == 1
    assert "Left out: 1 row with errors" in taken.sentence
    empty = take(shop, "history", header)
    assert empty.nothing_taken
    assert "no rows" in empty.sentence


def test_what_cannot_be_read_leaves_no_job(sqlite_shop: RunningShop) -> None:
    with pytest.raises(Unreadable):
        take(sqlite_shop, "notes", b"")
    with pytest.raises(BadInput):
        take(sqlite_shop, "no-such-format", FILE)
    with pytest.raises(NotAllowed):
        imports.run_import(sqlite_shop, TECH, "notes", "file.csv", FILE)
    with sqlite_shop.reading(LEAD) as desk:
        assert imports.list_imports(desk) == ()


def test_columns_may_have_names_of_their_own(sqlite_shop: RunningShop) -> None:
    file = notes_file({"Nr": "NV-9", "title": "Stall"})
    take(sqlite_shop, "notes", file, how=HowToRead({"Nr": "number"}))
    assert found(sqlite_shop, "stall") == ["NV-9"]


class DiesOnce:
    """Lets an import die after its first batch, as a killed process would."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(imports, "NOTES_A_BATCH", 1)
        self.take = imports._take
        self.left = 1
        monkeypatch.setattr(imports, "_take", self)

    def __call__(self, *args: object) -> None:
        if self.left == 0:
            self.left = 10_000
            raise SystemExit
        self.left -= 1
        self.take(*args)  # type: ignore[arg-type]


def killed(shop: RunningShop, monkeypatch: pytest.MonkeyPatch) -> int:
    with monkeypatch.context() as patched:
        DiesOnce(patched)
        with pytest.raises(SystemExit):
            take(shop, "notes", FILE)
    with shop.reading(LEAD) as desk:
        [job] = imports.list_imports(desk)
    assert (job.state, job.done, job.total) == (ImportState.RUNNING, 1, 2)
    return job.id


def test_half_an_import_is_not_found(shop: RunningShop, monkeypatch: pytest.MonkeyPatch) -> None:
    killed(shop, monkeypatch)
    assert found(shop, "hunts") == []


def test_a_dead_import_is_carried_on_by_giving_the_file_again(
    shop: RunningShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = killed(shop, monkeypatch)
    taken = take(shop, "notes", FILE)
    assert (taken.id, counts(taken), taken.state) == (job, (2, 0, 0), ImportState.DONE)
    assert sorted(found(shop, "hunts shift")) == ["NV-1", "NV-2"]


def test_a_dead_import_can_be_undone(shop: RunningShop, monkeypatch: pytest.MonkeyPatch) -> None:
    before = everything(shop)
    import_undo.undo_import(shop, LEAD, killed(shop, monkeypatch))
    assert everything(shop) == before


def test_a_run_whose_turn_is_over_stops_and_takes_nothing_more(
    sqlite_shop: RunningShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = imports.begin_import(sqlite_shop, LEAD, "notes", "file.csv", FILE)
    second = imports.begin_import(sqlite_shop, LEAD, "notes", "file.csv", FILE)
    assert second.job_id == first.job_id
    imports.carry_on_import(sqlite_shop, LEAD, first, "notes", FILE)
    assert view(sqlite_shop, first.job_id).done == 0
    imports.carry_on_import(sqlite_shop, LEAD, second, "notes", FILE)
    assert view(sqlite_shop, first.job_id).state is ImportState.DONE


def test_drafts_of_a_file_are_imported_but_not_found(sqlite_shop: RunningShop) -> None:
    take(sqlite_shop, "notes", notes_file(IDLE | {"state": "draft"}))
    assert found(sqlite_shop, "hunts") == []
    draft = note_id(sqlite_shop, "NV-1")
    with sqlite_shop.writing(LEAD) as desk:
        assert notes.publish_note(desk, draft, 1).content.state is NoteState.PUBLISHED
    assert found(sqlite_shop, "hunts") == ["NV-1"]
