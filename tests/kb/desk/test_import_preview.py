"""A file is looked at before it is brought in, and looking changes nothing of the shop."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kb.desk import import_preview, imports
from kb.desk.context import RunningShop
from kb.desk.import_preview import Preview
from kb.errors import NotFound, Unreadable
from kb.nouns.imports import DaysWritten, HowToRead
from tests.conftest import StandingClock
from tests.kb.desk.importing import LEAD, everything, history, take

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


def test_what_no_choice_of_columns_could_mend_is_refused_at_once(sqlite_shop: RunningShop) -> None:
    for name, data in (("history", b""), ("notes", b"\0\1"), ("recall-communications", b"a,b\n")):
        with pytest.raises(Unreadable):
            kept(sqlite_shop, data, name)
