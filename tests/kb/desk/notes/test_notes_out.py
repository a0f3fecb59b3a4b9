"""Notes taken out as CSV or JSON lines come in again as they were, and no spreadsheet runs what they say."""

from __future__ import annotations

import csv
import io
import json
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import fields, replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from kb.desk.context import RunningShop
from kb.desk.imports import import_preview, imports
from kb.desk.imports.import_told import ImportView
from kb.desk.notes import notes, notes_out
from kb.errors import BadInput, NotAllowed
from kb.nouns.notes import (
    CodeKind,
    NoteCode,
    NoteDocument,
    NoteDraft,
    NoteKind,
    NoteState,
    Remedy,
    SpeaksAgainst,
)
from kb.nouns.people import Actor
from kb.nouns.vehicles import CalibrationStep, CoverageLine
from tests.conftest import StandingClock
from tests.factories import a_note, an_update

LEAD, TECH = Actor(0, "lead", "lead"), Actor(0, "tech", "tech")
FORMS = ("csv", "jsonl")
RISKY = ("=1+1", "+1", "-1", "@SUM(A1)", "'=1", "\t=1", "“quoted”, and; so\nover two lines", '"', "漢字")
TEXTS = st.sampled_from(RISKY) | st.text(st.characters(categories=["L", "N", "P", "Zs"]), max_size=12)
WORDS = st.text(st.characters(categories=["L", "N"]), min_size=1, max_size=8) | st.sampled_from(
    ["-a", "=b", "@c"]
)
LINES = st.lists(WORDS, max_size=3, unique=True).map(tuple)
DAYS = st.none() | st.dates(date(1990, 1, 1), date(2026, 10, 1))
YEARS = st.lists(st.sampled_from([(2016, 2017), (2019, 2019), (2021, 2024)]), unique=True).map(
    lambda ranges: tuple(sorted(ranges))
)
COVERAGE = st.builds(
    CoverageLine,
    WORDS,
    WORDS | st.just(""),
    YEARS,
    TEXTS.map(str.strip),
    st.none(),
    DAYS,
    WORDS | st.just(""),
)
STEPS = st.builds(CalibrationStep, WORDS, LINES, WORDS)
FIELDS: dict[str, st.SearchStrategy[Any]] = {
    "kind": st.sampled_from(NoteKind),
    "title": WORDS,
    "number": WORDS | st.just(""),
    "symptom": TEXTS.map(str.strip),
    "body": TEXTS.map(str.strip),
    "conditions": TEXTS.map(str.strip),
    "codes": st.dictionaries(
        st.sampled_from(["P0171", "P0741", "U0100", "B1A2B-13"]), st.sampled_from(CodeKind)
    ).map(lambda kinds: tuple(NoteCode(code, kind) for code, kind in kinds.items())),
    "coverage": st.lists(COVERAGE, max_size=3, unique=True).map(tuple),
    "steps": st.lists(STEPS, max_size=2, unique=True).map(tuple),
    "documents": st.lists(st.builds(NoteDocument, WORDS, TEXTS), max_size=2).map(tuple),
    "precautions": LINES,
    "relearns": LINES,
    "exact_entries": LINES,
    "speaks_against": st.lists(
        st.sampled_from([SpeaksAgainst("The intake leaks", "smoke_test"), SpeaksAgainst("It is cold out")]),
        unique=True,
    ).map(tuple),
    "replaces": st.lists(st.sampled_from(["OLD-1", "OLD-2"]), unique=True).map(tuple),
    "remedy": st.sampled_from(Remedy),
    "remedy_module": WORDS | st.just(""),
    "system": st.sampled_from(["", "engine", "brakes"]),
    "state": st.sampled_from(NoteState),
    "published_on": DAYS,
    "source": st.just("shop"),
    "identity": st.just(""),
}


@contextmanager
def new_shop(template: Path, file: Path) -> Iterator[RunningShop]:
    shutil.copyfile(template, file)
    shop = RunningShop.open(f"sqlite:///{file}", clock=StandingClock())
    yield shop
    shop.close()


def out(shop: RunningShop, form: str) -> bytes:
    with shop.reading(LEAD) as desk:
        return "".join(notes_out.export_notes(desk, form)).encode()


def contents(shop: RunningShop) -> list[list[Any]]:
    """Every note as it stands, without what a file has no word for: whose checks, and identities."""
    with shop.reading(LEAD) as desk:
        lines = notes.list_notes(desk, notes.NoteFilter()).lines
        found = [notes.read_note(desk, one) for one in sorted(line.id for line in lines)]
    return [json.loads(json.dumps(_plain(note.content), default=str)) for note in found]


def _plain(draft: NoteDraft) -> list[Any]:
    said = [one.says for one in draft.speaks_against]
    plain = replace(draft, identity="", speaks_against=())
    return [getattr(plain, one.name) for one in fields(plain)] + [said]


def take(shop: RunningShop, data: bytes) -> ImportView:
    job = imports.run_import(shop, LEAD, "notes", "notes", data)
    with shop.reading(LEAD) as desk:
        return imports.read_import(desk, job)


@given(written=st.lists(st.fixed_dictionaries(FIELDS), min_size=1, max_size=4))
@settings(max_examples=12)
def test_notes_go_out_in_and_out_again_as_they_were_and_into_their_own_shop_without_a_change(
    written: list[dict[str, Any]], tmp_path_factory: pytest.TempPathFactory, sqlite_template: Path
) -> None:
    assert FIELDS.keys() == {one.name for one in fields(NoteDraft)}, "a new field needs a column in the CSV"
    folder = tmp_path_factory.mktemp("notes")
    with new_shop(sqlite_template, folder / "one.db") as one:
        with one.writing(LEAD) as desk:
            for said in written:
                steps = said["steps"] if said["kind"] is NoteKind.BULLETIN else ()
                with suppress(BadInput):  # calibrations in a circle, or a note that replaces itself
                    notes.write_note(desk, NoteDraft(**said | {"steps": steps}))
        before = contents(one)
        assume(before)
        for form in FORMS:
            file = out(one, form)
            with new_shop(sqlite_template, folder / f"{form}.db") as other:
                taken = take(other, file)
                assert (taken.created, taken.errors) == (len(before), ())
                assert out(other, form) == file
                assert contents(other) == before
            again = take(one, file)
            assert (again.created, again.changed, again.errors) == (0, 0, ())
        assert contents(one) == before


def test_no_cell_of_the_table_is_a_formula(sqlite_shop: RunningShop) -> None:
    """Spreadsheets take one that begins with = + - @ or a tab for it (OWASP, CSV injection, from memory)."""
    with sqlite_shop.writing(LEAD) as desk:
        for text in RISKY:
            notes.write_note(desk, a_note(title=text, body=text, precautions=(text,)))
    table = out(sqlite_shop, "csv").decode("utf-8-sig")
    cells = [cell for row in csv.reader(io.StringIO(table)) for cell in row]
    assert not [cell for cell in cells if cell.startswith(("=", "+", "-", "@", "\t"))]
    assert {note[1] for note in contents(sqlite_shop)} == {text.strip() for text in RISKY}


def test_a_file_on_what_was_written_here_keeps_what_was_written(sqlite_shop: RunningShop) -> None:
    with sqlite_shop.writing(LEAD) as desk:
        mine = notes.write_note(desk, an_update(body="As I know it."))
    [line] = out(sqlite_shop, "jsonl").decode().splitlines()
    theirs = json.dumps(json.loads(line) | {"body": "Otherwise."})
    taken = take(sqlite_shop, theirs.encode())
    assert (taken.created, taken.changed, taken.unchanged) == (0, 0, 1)
    assert "was written here, so it was kept" in taken.errors[0].message
    with sqlite_shop.reading(LEAD) as desk:
        assert notes.read_note(desk, mine.id).content.body == "As I know it."


def test_a_line_that_cannot_be_read_is_named_with_its_field(sqlite_shop: RunningShop) -> None:
    lines = (
        '{"kind": "lesson", "title": "Good", "author": "maria", "id": 7}',
        '{"kind": "rumor", "title": "Bad"}',
        '{"kind": "lesson"}',
        '["lesson"]',
        '{"kind": "lesson", "title": "good"}',
        '{"kind": "lesson", "title": "Years", "coverage": [{"make": "Tarn", "years": [2016]}]}',
        '{"kind": "lesson", "title": "Codes", "codes": 5}',
        '{"kind": "lesson", "title": "P0171 is lean", "codes": ["P0171", "P0741"]}',
    )
    taken = take(sqlite_shop, "\n".join(lines).encode())
    told = {(one.line, one.field, one.severity) for one in taken.errors}
    assert told == {
        (1, "author", "notice"),
        (1, "id", "notice"),
        (2, "kind", "error"),
        (3, "title", "error"),
        (4, "", "error"),
        (5, "", "error"),
        (6, "coverage", "error"),
        (7, "", "error"),
    }
    with sqlite_shop.reading(LEAD) as desk:
        kinds = dict(notes.read_note(desk, 2).content.code_kinds)
    assert kinds == {"P0171": "may_be_stored", "P0741": "defining"}  # lean: many faults set it


def test_json_lines_are_looked_at_before_they_come_in_like_any_file(sqlite_shop: RunningShop) -> None:
    with sqlite_shop.writing(LEAD) as desk:
        notes.write_note(desk, an_update(body='It says "surges", twice'))
    told = out(sqlite_shop, "jsonl").lower().replace(b"nv-24-101", b"nv-24-102")
    with sqlite_shop.writing(LEAD) as desk:
        waiting = import_preview.keep_waiting(desk, "notes", "notes.jsonl", told)
        seen = import_preview.preview(desk, import_preview.file_in_hand(desk, waiting))
    assert (seen.columns, seen.known, seen.trouble, seen.new) == ((), (), "", 1)


def test_only_a_lead_or_owner_takes_notes_out_and_only_in_a_form_that_is_read_back(
    sqlite_shop: RunningShop,
) -> None:
    with sqlite_shop.reading(TECH) as desk, pytest.raises(NotAllowed):
        notes_out.export_notes(desk, "csv")
    with sqlite_shop.reading(LEAD) as desk, pytest.raises(BadInput, match="csv or jsonl"):
        notes_out.export_notes(desk, "xlsx")
