"""Rows that were left out come back as a file; what was chosen for columns is kept for the next one."""

from __future__ import annotations

import csv
import io

import pytest

from kb.desk.context import RunningShop
from kb.desk.imports import import_undo, imports, rows_left_out
from kb.desk.imports.heartbeat import beating
from kb.desk.imports.import_told import ImportState
from kb.desk.imports.reading_how import HowAsked, how_to_read
from kb.errors import BadInput, NotFound
from kb.nouns.imports import REASON_COLUMN, DaysWritten, HowToRead
from tests.conftest import StandingClock
from tests.kb.desk.imports.importing import LEAD, counts, everything, take, view
from tests.kb.desk.imports.test_import_stopped import FILE, dies
from tests.kb.intake.own_table.writing import as_workbook

HEAD = "Bright Street Garage\nAll orders\n\nOrder;What they say;Done;Paid by us;TSB\n"
ROWS = (
    "1;bucks;3/14/2026;$12.50;N-1\n"
    "2;=stalls;13/45/2026;$5.00;N-1\n"
    "3;dies;3/15/2026;ask Deb;N-1\n"
    '4;"surges;3/15/2026;;N-1\n'
    "5;hums;3/16/2026;;R&R starter\n"
    "Total;;;$17.50;\n"
)
THEIRS = (HEAD + ROWS).encode()
CHOSEN = {"Order": "ro_number", "What they say": "complaint", "Done": "reflashed_on", "Paid by us": "cost"}


def how_of(shop: RunningShop, data: bytes, **asked: object) -> HowToRead:
    with shop.reading(LEAD) as desk:
        return how_to_read(desk, "history", data, HowAsked(**asked))  # type: ignore[arg-type]


def left_out(shop: RunningShop, job: int) -> list[list[str]]:
    with shop.reading(LEAD) as desk:
        data = rows_left_out.left_out_file(desk, job)
    return list(csv.reader(io.StringIO(data.decode("utf-8-sig"))))


def test_bad_rows_come_back_as_a_file_that_comes_in_once_its_cells_are_right(
    sqlite_shop: RunningShop,
) -> None:
    how = how_of(sqlite_shop, THEIRS, columns=CHOSEN)
    assert (how.layout.header_line, how.days) == (4, DaysWritten.MONTH_FIRST)
    job = take(sqlite_shop, "history", THEIRS, how=how)
    assert (counts(job), job.left_out) == ((2, 0, 0), 3)
    table = left_out(sqlite_shop, job.id)
    assert table[0] == [REASON_COLUMN, "Order", "What they say", "Done", "Paid by us", "TSB"]
    assert [row[0].split(":")[0] for row in table[1:]] == ["line 6", "line 7", "line 8"]
    assert table[1][2] == "'=stalls", "no spreadsheet takes it for a formula"
    assert table[3][1:] == ["4", "surges;3/15/2026;;N-1\n"], "what an open quote swallowed is in one cell"
    corrected = [row.copy() for row in table[:3]]
    corrected[1][3], corrected[2][4] = "3/15/2026", "8"
    for data in (as_workbook({"left out": corrected}), as_csv(corrected)):
        again = how_of(sqlite_shop, data)
        assert {name: ours for name, ours in again.columns.items() if name in CHOSEN} == CHOSEN
        assert (again.columns[REASON_COLUMN], again.days) == ("", DaysWritten.MONTH_FIRST)
        next_job = take(sqlite_shop, "history", data, how=again)
        assert next_job.left_out == 0
    assert next_job.unchanged == 2, "the same rows, whatever file they are in"


def as_csv(rows: list[list[str]]) -> bytes:
    out = io.StringIO()
    csv.writer(out).writerows(rows)
    return out.getvalue().encode("utf-8-sig")


def test_a_text_that_is_no_number_makes_a_draft_only_if_somebody_says_so(sqlite_shop: RunningShop) -> None:
    before = everything(sqlite_shop)
    how = how_of(sqlite_shop, THEIRS, columns=CHOSEN)
    job = take(sqlite_shop, "history", THEIRS, how=how)
    assert numbers(sqlite_shop) == ["N-1"]
    assert "“R&R starter” 1" in next(one.message for one in job.errors if one.field == "update")
    import_undo.undo_import(sqlite_shop, LEAD, job.id)
    assert everything(sqlite_shop) == before
    with pytest.raises(NotFound, match="no rows that were left out"):
        left_out(sqlite_shop, job.id)
    take(sqlite_shop, "history", THEIRS, how=how_of(sqlite_shop, THEIRS, columns=CHOSEN, take_texts=True))
    assert numbers(sqlite_shop) == ["N-1", "R&R starter"]
    take(sqlite_shop, "history", THEIRS.replace(b"hums", b"whines"), how=how)
    assert numbers(sqlite_shop) == ["N-1", "R&R starter"], "it is a number on file now"


def numbers(shop: RunningShop) -> list[str]:
    return sorted(row["number"] for row in everything(shop)["note"])


def test_a_choice_is_kept_by_the_columns_and_offered_again(sqlite_shop: RunningShop) -> None:
    take(sqlite_shop, "history", THEIRS, how=how_of(sqlite_shop, THEIRS, columns=CHOSEN))
    other = b"Order;Concern;Done\n9;bucks;2026-03-14\n"
    take(
        sqlite_shop,
        "history",
        other,
        how=how_of(
            sqlite_shop, other, columns={"Order": "complaint", "Done": "opened_on", "Concern": "ro_number"}
        ),
    )
    shuffled = b"TSB,paid by us,Done,ORDER,What they say\nN-1,1,3/4/2026,10,bucks\n"
    again = how_of(sqlite_shop, shuffled)
    assert {name.casefold(): ours for name, ours in again.columns.items()} == {
        name.casefold(): ours for name, ours in {**CHOSEN, "TSB": "update"}.items()
    }
    assert again.days is DaysWritten.MONTH_FIRST, "3/4 alone does not tell; what was chosen does"
    changed = how_of(sqlite_shop, shuffled, columns={"Done": "opened_on"})
    assert changed.columns["Done"] == "opened_on"


def test_a_dead_import_is_carried_on_without_its_file(
    sqlite_shop: RunningShop, clock: StandingClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = dies(sqlite_shop, monkeypatch)
    clock.move(seconds=9)
    assert (view(sqlite_shop, job).standing_still, view(sqlite_shop, job).file_kept) == (True, True)
    run, name, data = imports.resume_import(sqlite_shop, LEAD, job)
    assert data == FILE
    imports.carry_on_import(sqlite_shop, LEAD, run, name, data)
    done = view(sqlite_shop, job)
    assert (done.state, counts(done), done.file_kept) == (ImportState.DONE, (8, 0, 0), False)
    with pytest.raises(BadInput, match="did not end"):
        imports.resume_import(sqlite_shop, LEAD, job)


def test_a_job_that_works_says_so_between_its_batches(
    sqlite_shop: RunningShop, clock: StandingClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = dies(sqlite_shop, monkeypatch)
    monkeypatch.setattr("kb.desk.imports.heartbeat.SECONDS", 0.01)
    clock.move(seconds=9)
    run, _name, _data = imports.resume_import(sqlite_shop, LEAD, job)
    before = view(sqlite_shop, job).last_progress_at
    clock.move(seconds=9)
    with beating(sqlite_shop, LEAD, job, run.turn):
        for _ in range(1000):
            if view(sqlite_shop, job).last_progress_at > before:
                break
    assert not view(sqlite_shop, job).standing_still
