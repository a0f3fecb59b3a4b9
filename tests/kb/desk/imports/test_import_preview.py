"""A file is looked at before it is brought in, and looking changes nothing of the shop."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kb.desk.context import RunningShop
from kb.desk.imports import import_preview, imports
from kb.desk.imports.import_jobs import Run
from kb.desk.imports.import_preview import FileInHand, Preview
from kb.errors import BadInput, NotFound, Unreadable
from kb.nouns.imports import DaysWritten, HowToRead
from tests.conftest import StandingClock
from tests.kb.desk.imports.importing import LEAD, FailsOnce, counts, everything, history, take, view

pytestmark = pytest.mark.both_databases

THEIRS = (
    b"Ticket;Customer states;TSB;Date reflashed;Tech pay\n"
    b"12;bucks uphill;N-1;3/31/2026;80\n"
    b"13;stalls;N-1;4/2/2026;80\n"
    b"14;stalls;N-1;soon;80\n"
)


def kept(shop: RunningShop, data: bytes, name: str = "history") -> int:
    with shop.writing(LEAD) as desk:
        return import_preview.keep_waiting(desk, name, "shop.csv", data)


def look(shop: RunningShop, file_id: int, how: HowToRead | None = None) -> Preview:
    with shop.reading(LEAD) as desk:
        return import_preview.preview(desk, import_preview.file_in_hand(desk, file_id), how)


def test_looking_says_what_would_come_in_and_saves_nothing(shop: RunningShop) -> None:
    waiting = kept(shop, history({}, {"ro_number": "2088", "opened_on": "soon"}))
    before = everything(shop)
    seen = look(shop, waiting)
    assert (seen.new, seen.changed, seen.unchanged, seen.error_count) == (1, 0, 0, 1)
    assert [row.ro_number for row in seen.rows] == ["2087"]
    assert (seen.errors[0].line, seen.errors[0].field) == (3, "opened_on")
    assert everything(shop) == before
    take(shop, "history", history({}))
    again = look(shop, waiting)
    assert (again.new, again.unchanged) == (0, 1)


def test_columns_are_chosen_seen_at_once_and_remembered_for_the_next_file(sqlite_shop: RunningShop) -> None:
    waiting = kept(sqlite_shop, THEIRS)
    first = look(sqlite_shop, waiting)
    assert "ro_number" in first.trouble
    assert first.how.columns["Customer states"] == "complaint"
    assert first.how.days is DaysWritten.MONTH_FIRST
    chosen = replace(first.how, columns={**first.how.columns, "Ticket": "ro_number"})
    second = look(sqlite_shop, waiting, chosen)
    assert (second.trouble, second.new, second.error_count) == ("", 2, 1)
    imports.run_import(sqlite_shop, LEAD, "history", "shop.csv", THEIRS, how=chosen)
    next_one = look(sqlite_shop, kept(sqlite_shop, THEIRS.replace(b"12;", b"15;")))
    assert next_one.how == chosen
    assert (next_one.new, next_one.unchanged) == (1, 1)


def test_two_columns_read_as_one_are_told_and_nothing_is_counted(sqlite_shop: RunningShop) -> None:
    how = HowToRead({"Ticket": "ro_number", "TSB": "update", "Tech pay": "update"})
    seen = look(sqlite_shop, kept(sqlite_shop, THEIRS), how)
    assert "Two columns are read as update" in seen.trouble
    assert seen.new == 0
    assert [one.name for one in seen.columns][:2] == ["Ticket", "Customer states"]


def test_a_waiting_file_is_gone_a_day_later_or_when_let_go(
    sqlite_shop: RunningShop, clock: StandingClock
) -> None:
    old = kept(sqlite_shop, THEIRS)
    clock.move(days=2)
    new = kept(sqlite_shop, THEIRS)
    with pytest.raises(NotFound, match="Choose it again"):
        look(sqlite_shop, old)
    with sqlite_shop.writing(LEAD) as desk:
        import_preview.let_go(desk, new)
    with pytest.raises(NotFound):
        look(sqlite_shop, new)


def bring_in(shop: RunningShop, file: FileInHand, how: HowToRead) -> Run:
    run = imports.begin_import(shop, LEAD, file.format, file.file_name, file.data, how=how)
    with shop.writing(LEAD) as desk:
        import_preview.let_go(desk, file.id)
    return run


def test_two_browsers_that_bring_the_same_waiting_file_in_bring_it_in_once(shop: RunningShop) -> None:
    waiting = kept(shop, history({}, {"ro_number": "2088"}))
    with shop.reading(LEAD) as desk:
        file = import_preview.file_in_hand(desk, waiting)
        how = import_preview.preview(desk, file).how
    first, second = bring_in(shop, file, how), bring_in(shop, file, how)
    for run in (first, second):
        imports.carry_on_import(shop, LEAD, run, file.format, file.data)
    assert first.job_id == second.job_id
    assert counts(view(shop, first.job_id)) == (2, 0, 0)
    late = bring_in(shop, file, how)
    imports.carry_on_import(shop, LEAD, late, file.format, file.data)
    assert counts(view(shop, late.job_id)) == (0, 0, 2)


def test_a_file_is_not_carried_on_with_other_columns_or_days_than_it_began(
    sqlite_shop: RunningShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file of which half is read in one way and half in another would be neither."""
    needed = {"Ticket": "ro_number", "Customer states": "complaint", "Date reflashed": "reflashed_on"}
    began = HowToRead(needed | {"TSB": "update", "Tech pay": ""}, DaysWritten.MONTH_FIRST)
    with monkeypatch.context() as patched:
        patched.setattr(imports, "ROWS_A_BATCH", 1)
        patched.setattr(imports, "count_batch", FailsOnce(imports.count_batch, 2))
        with pytest.raises(OSError, match="no space"):
            take(sqlite_shop, "history", THEIRS, how=began)
    for other in (
        replace(began, columns=needed),
        replace(began, days=DaysWritten.YEAR_FIRST),
    ):
        with pytest.raises(BadInput, match="Import 1 took part of this very file"):
            take(sqlite_shop, "history", THEIRS, how=other)
    same = replace(began, columns=needed | {"TSB": "update"})
    assert counts(take(sqlite_shop, "history", THEIRS, how=same)) == (2, 0, 0)


def test_what_no_choice_of_columns_could_mend_is_refused_at_once(sqlite_shop: RunningShop) -> None:
    for name, data in (("history", b""), ("notes", b"\0\1"), ("recall-communications", b"a,b\n")):
        with pytest.raises(Unreadable):
            kept(sqlite_shop, data, name)


def test_the_order_of_days_is_found_far_down_the_file_and_else_remembered(sqlite_shop: RunningShop) -> None:
    head = b"ro_number,complaint,reflashed_on\n"
    early = b"".join(b"%d,bucks,1/2/2026\n" % n for n in range(300))
    told = look(sqlite_shop, kept(sqlite_shop, head + early + b"900,bucks,1/28/2026\n"))
    assert told.how.days is DaysWritten.MONTH_FIRST
    assert look(sqlite_shop, kept(sqlite_shop, head + early)).how.days is DaysWritten.YEAR_FIRST
    imports.run_import(sqlite_shop, LEAD, "history", "shop.csv", head + b"1,x,1/28/2026\n", how=told.how)
    assert look(sqlite_shop, kept(sqlite_shop, head + early)).how.days is DaysWritten.MONTH_FIRST


def test_a_shop_s_own_words_are_shown_as_they_are_read_before_anything_comes_in(
    sqlite_shop: RunningShop,
) -> None:
    file = (
        b"RO,Concern,TSB,Flashed,Result,Date,Date\n"
        b"1,bucks,N-1,3/14/2026,Fixed,a,b\n2,bucks,N-1,3/15/2026,fixed,a,b\n"
        b"3,bucks,N-1,3/16/2026,no good,a,b\n4,bucks,N-1,3/17/2026,sold it,a,b\n"
    )
    seen = look(sqlite_shop, kept(sqlite_shop, file))
    assert seen.trouble == ""
    assert seen.doubled == ("Date (2)",)
    read = [(one.text, one.rows, one.read_as) for one in seen.words]
    assert read == [
        ("Fixed", 1, "gone"),
        ("fixed", 1, "gone"),
        ("no good", 1, "still_there"),
        ("sold it", 1, None),
    ]
    assert (seen.new, seen.error_count) == (3, 1)
