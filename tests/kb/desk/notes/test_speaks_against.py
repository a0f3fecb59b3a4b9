"""What speaks against a note is a check of that note: made, kept, renamed, taken off and put back with it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kb.desk.bay.advice import advice, checks_on_file
from kb.desk.bay.concern import concerns, findings, findings_shown
from kb.desk.context import RunningShop
from kb.desk.imports import import_undo
from kb.desk.notes import checks, merging_notes, notes
from kb.errors import BadInput
from kb.nouns.checks import CheckView
from kb.nouns.concerns import FindingResult
from kb.nouns.notes import Note, NoteState, SpeaksAgainst
from tests.factories import a_concern, an_update
from tests.kb.desk.imports.importing import LEAD, TECH, counts, everything, notes_file, take

pytestmark = pytest.mark.both_databases
BUMPS = "It happens over bumps"


def write(shop: RunningShop, *says: str, **more: str) -> Note:
    entries = tuple(SpeaksAgainst(one, more.get("check", "")) for one in says)
    with shop.writing(LEAD) as desk:
        return notes.write_note(desk, an_update(speaks_against=entries))


def change(shop: RunningShop, note: Note, *entries: SpeaksAgainst) -> Note:
    with shop.writing(LEAD) as desk:
        content = replace(note.content, speaks_against=entries)
        return notes.change_note(desk, note.id, note.version, content)


def check_of(shop: RunningShop, key: str) -> CheckView:
    with shop.reading(TECH) as desk:
        every = checks_on_file.list_checks(desk, retired_too=True)
    return next(one for one in every if one.key == key)


def test_an_entry_becomes_a_check_that_speaks_for_its_note_only(shop: RunningShop) -> None:
    note = write(shop, BUMPS)
    [entry] = note.content.speaks_against
    check = check_of(shop, entry.check)
    assert check.of_notes
    assert check.content.attached_to == (note.id,)
    assert (check.content.name, check.content.question) == (
        "Look whether: it happens over bumps",
        "It happens over bumps: is it so here?",
    )
    assert (check.content.yes_in_10_cured, check.content.yes_in_10_not) == (1, 5), "the guess of the design"
    with shop.reading(TECH) as desk:
        assert notes.read_note(desk, note.id).content == note.content


def test_an_entry_keeps_its_check_while_it_is_reworded_and_one_that_a_lead_rewrote_keeps_its_words(
    shop: RunningShop,
) -> None:
    note = write(shop, BUMPS)
    key = note.content.speaks_against[0].check
    same = change(shop, note, SpeaksAgainst(BUMPS))
    assert same.content.speaks_against == note.content.speaks_against, "known by its words"
    worded = change(shop, same, SpeaksAgainst("It happens over potholes", key))
    assert check_of(shop, key).content.name == "Look whether: it happens over potholes"
    with shop.writing(LEAD) as desk:
        check = checks.read_check(desk, check_of(shop, key).id)
        checks.change_check(desk, check.id, check.version, replace(check.content, question="Over bumps?"))
    change(shop, worded, SpeaksAgainst("It happens on rough roads", key))
    assert check_of(shop, key).content.question == "Over bumps?"


def test_a_check_taken_off_retires_with_what_it_found_and_comes_back_by_its_key(shop: RunningShop) -> None:
    note = write(shop, BUMPS)
    key = note.content.speaks_against[0].check
    with shop.writing(TECH) as desk:
        concern = concerns.open_concern(desk, a_concern()).id
        findings.put_finding(desk, concern, key, FindingResult.YES)
    without = change(shop, note)
    gone = check_of(shop, key)
    assert (gone.retired, gone.content.attached_to) == (True, ())
    change(shop, without, SpeaksAgainst(BUMPS, key))
    again = check_of(shop, key)
    assert (again.retired, again.content.attached_to) == (False, (note.id,))
    with shop.reading(TECH) as desk:
        shown = {one.key: one.result for one in findings_shown.list_findings(desk, concern)}
    assert shown[key] is FindingResult.YES


def test_an_entry_may_name_a_check_of_the_shop_which_is_attached_and_never_retired(shop: RunningShop) -> None:
    note = write(shop, "The intake leaks", check="smoke_test")
    assert check_of(shop, "smoke_test").content.attached_to == (note.id,)
    change(shop, note)
    smoke = check_of(shop, "smoke_test")
    assert (smoke.retired, smoke.content.attached_to) == (False, ())
    with pytest.raises(BadInput, match="no check no_such") as refused:
        write(shop, BUMPS, check="no_such")
    assert "speaks_against" in refused.value.fields


def test_entries_are_tidied_and_one_too_long_is_refused_by_its_field(shop: RunningShop) -> None:
    note = write(shop, f"  {BUMPS} ", BUMPS.upper(), " ")
    assert [one.says for one in note.content.speaks_against] == [BUMPS]
    with pytest.raises(BadInput) as refused:
        write(shop, "bump " * 41)
    assert list(refused.value.fields) == ["speaks_against"]


def test_a_duplicate_that_is_merged_and_taken_back_keeps_its_checks(shop: RunningShop) -> None:
    kept, duplicate = write(shop, "Other"), write(shop, BUMPS)
    with shop.writing(LEAD) as desk:
        merging_notes.merge_notes(desk, kept.id, duplicate.id)
    with shop.writing(LEAD) as desk:
        back = merging_notes.unmerge_note(desk, duplicate.id)
    assert back.content.state is NoteState.PUBLISHED
    assert back.content.speaks_against == duplicate.content.speaks_against
    assert not check_of(shop, back.content.speaks_against[0].check).retired


ROW = {
    "number": "NV-7",
    "title": "Cluster goes blank",
    "speaks_against": f"{BUMPS}\nWeak ground = voltage_drop",
}


def test_a_file_makes_checks_once_and_its_undo_takes_them_away(shop: RunningShop) -> None:
    before = everything(shop)
    taken = take(shop, "notes", notes_file(ROW))
    with shop.reading(TECH) as desk:
        [line] = notes.list_notes(desk, notes.NoteFilter()).lines
        says = notes.read_note(desk, line.id).content.speaks_against
    assert [one.says for one in says] == [BUMPS, "Weak ground"]
    assert says[1].check == "voltage_drop"
    assert check_of(shop, says[0].check).content.attached_to == (line.id,)
    held = everything(shop)
    assert counts(take(shop, "notes", notes_file(ROW))) == (0, 0, 1)
    assert everything(shop) == held
    more = take(shop, "notes", notes_file(ROW | {"speaks_against": "Fuse blown"}))
    assert counts(more) == (0, 1, 0)
    assert check_of(shop, says[0].check).retired
    import_undo.undo_import(shop, LEAD, more.id)
    assert check_of(shop, says[0].check).content.attached_to == (line.id,)
    import_undo.undo_import(shop, LEAD, taken.id)
    assert everything(shop) == before
    wrong = take(shop, "notes", notes_file(ROW | {"speaks_against": "Weak ground = no_such"}))
    assert [(one.line, one.field) for one in wrong.errors] == [(2, "speaks_against")]


def test_a_check_of_one_note_says_nothing_of_another_update(shop: RunningShop) -> None:
    note = write(shop, BUMPS)
    with shop.writing(LEAD) as desk:
        other = an_update(number="NV-2", title="Engine bucks and jerks when cold", steps=())
        notes.write_note(desk, other)
        concern = concerns.open_concern(desk, a_concern()).id
        findings.put_finding(desk, concern, note.content.speaks_against[0].check, FindingResult.NO)
    with shop.reading(TECH) as desk:
        [candidate] = advice.give_advice(desk, concern).candidates
    assert candidate.speaks_against == (), "a no is not met, and is no reason for either list"
