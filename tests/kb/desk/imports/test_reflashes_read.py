"""Reflashes read from correction texts: counted when somebody says so, as if named; undone whole."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from kb.desk.context import RunningShop
from kb.desk.imports import import_undo, reflashes_answered, reflashes_read
from kb.desk.review import reports
from kb.desk.review.reports import ReportFilter
from kb.errors import BadInput
from kb.intake.history.history import COLUMNS
from kb.nouns.history.reflashes_read import AlikeTexts, Answer, Answered, ReadState, ReflashesRead, Said
from tests.kb.desk.imports.importing import LEAD, everything, table, take

pytestmark = pytest.mark.both_databases

LINE = {
    "line": "A",
    "opened_on": "2026-02-03",
    "make": "Norvane",
    "model": "Tessel",
    "year": "2019",
    "complaint": "bucks uphill when warm",
    "last_seen_on": "2026-06-30",
}
GONE = "Reprogrammed PCM per NV-24-101, road tested ok"
STILL = "Reprogrammed PCM per NV-24-101. Still bucks uphill."
BARE = "Reflashed PCM with latest cal, no more stumble"
KEY = "Cut and programmed 2 keys"
DECLINED = "Recommended PCM reflash. Customer declined."
UNPLAIN = "programmed ecm"


def lines(*changes: dict[str, str]) -> bytes:
    return table(COLUMNS, *(LINE | {"ro_number": f"30{n:02}"} | one for n, one in enumerate(changes)))


def texts(*said: str) -> bytes:
    return lines(*({"work_done": one} for one in said))


def read(shop: RunningShop, job: int) -> ReflashesRead:
    with shop.reading(LEAD) as desk:
        return reflashes_read.reflashes_read(desk, job)


def answer(shop: RunningShop, job: int, group: AlikeTexts, how: Answer, **said: Any) -> Answered:
    with shop.writing(LEAD) as desk:
        return reflashes_answered.answer_reflashes(desk, job, group.alike, Said(how, **said))


def take_all(shop: RunningShop, job: int) -> None:
    for group in read(shop, job).groups:
        answer(shop, job, group, Answer.TAKE, without_number=True)


def counted(shop: RunningShop) -> list[tuple[Any, ...]]:
    with shop.reading(LEAD) as desk:
        told = reports.reflash_report(desk, ReportFilter())
    return [
        (
            told.names.get(row.update or 0, ("", ""))[0],
            row.tried,
            row.failed_at_road_test,
            row.comebacks,
            row.cure_rate,
        )
        for row in told.report.rows
    ]


def test_nothing_counts_before_somebody_looked(shop: RunningShop) -> None:
    job = take(shop, "history", texts(GONE, GONE, STILL, BARE, KEY, DECLINED, UNPLAIN)).id
    found = read(shop, job)
    assert counted(shop) == []
    assert {(g.update, g.module, g.road_test, g.open) for g in found.groups} == {
        ("NV-24-101", "PCM", "gone", 2),
        ("NV-24-101", "PCM", "still_there", 1),
        ("", "PCM", "gone", 1),
    }
    assert found.not_read is not None
    assert found.not_read.examples[0].text == UNPLAIN
    assert found.others == {"key": 1, "declined": 1}


def test_what_is_taken_counts_as_a_row_that_named_it_itself(shop: RunningShop) -> None:
    day = date(2026, 2, 3)
    told: list[dict[str, str]] = []
    named: list[dict[str, str]] = []
    for n in range(30):
        on = (day + timedelta(days=n)).isoformat()
        gone = n % 3 > 0
        base = {"vin": "", "opened_on": on, "cost": "20" if n % 7 == 0 else ""}
        back = {"came_back": "yes", "returned_on": (day + timedelta(days=n + 20)).isoformat()}
        base |= back if n % 5 == 0 else {}
        told.append(base | {"work_done": GONE if gone else STILL})
        more = {"update": "NV-24-101", "module": "PCM", "reflashed_on": on}
        named.append(base | more | {"gone_at_road_test": "yes" if gone else "no"})
    job = take(shop, "history", lines(*told)).id
    take_all(shop, job)
    by_text = counted(shop)
    import_undo.undo_import(shop, LEAD, job)
    assert counted(shop) == []
    take(shop, "history", lines(*named))
    assert by_text == counted(shop)
    assert by_text[0][:3] == ("NV-24-101", 30, 10)


def test_an_undo_takes_back_what_was_taken_from_texts(shop: RunningShop) -> None:
    before = everything(shop)
    job = take(shop, "history", texts(GONE, STILL, BARE, UNPLAIN)).id
    take_all(shop, job)
    import_undo.undo_import(shop, LEAD, job)
    assert everything(shop) == before


def test_an_overlapping_file_proposes_nothing_twice_and_its_comeback_counts(shop: RunningShop) -> None:
    job = take(shop, "history", texts(GONE, GONE, KEY, BARE)).id
    take_all(shop, job)
    as_taken = everything(shop)
    back = {"work_done": GONE, "came_back": "yes", "returned_on": "2026-02-20"}
    later = lines(back, {"work_done": GONE}, {"work_done": KEY}, {"work_done": BARE}, {"work_done": STILL})
    again = take(shop, "history", later)
    assert (again.created, again.changed, again.unchanged) == (1, 1, 3)
    assert [(g.road_test, g.open) for g in read(shop, again.id).groups] == [("still_there", 1)]
    assert [row[:4] for row in counted(shop) if row[0] != "not named"] == [("NV-24-101", 2, 0, 1)]
    import_undo.undo_import(shop, LEAD, again.id)
    assert everything(shop) == as_taken


def test_a_number_that_no_text_names_is_asked_for_once_a_group(shop: RunningShop) -> None:
    job = take(shop, "history", texts(BARE, BARE, GONE)).id
    unnamed = next(g for g in read(shop, job).groups if not g.update)
    with pytest.raises(BadInput, match="names no update"):
        answer(shop, job, unnamed, Answer.TAKE)
    answer(shop, job, unnamed, Answer.TAKE, update="NV-25-007")
    assert [row[:2] for row in counted(shop)] == [("NV-25-007", 2)]
    other = next(g for g in read(shop, job).groups if g.update == "NV-24-101")
    answer(shop, job, other, Answer.LEAVE)
    assert [(g.open, g.taken, g.not_taken) for g in read(shop, job).groups] in (
        [(0, 2, 0), (0, 0, 1)],
        [(0, 0, 1), (0, 2, 0)],
    )


def test_an_answer_is_taken_back_while_nobody_worked_on_it(shop: RunningShop) -> None:
    job = take(shop, "history", texts(GONE, GONE, BARE)).id
    as_read = everything(shop)
    take_all(shop, job)
    for group in read(shop, job).groups:
        answer(shop, job, group, Answer.TAKE_BACK)
    kept = everything(shop)
    assert counted(shop) == []
    changed = {name for name, rows in kept.items() if rows != as_read[name]}
    assert changed <= {"note", "note_revision", "reflash_read"}
    assert all(one.state is ReadState.PROPOSED for g in read(shop, job).groups for one in g.examples)


def test_single_texts_are_answered_for_themselves_and_a_day_is_entered(shop: RunningShop) -> None:
    job = take(shop, "history", lines({"work_done": UNPLAIN, "opened_on": "", "last_seen_on": ""})).id
    not_read = read(shop, job).not_read
    assert not_read is not None
    only = {"only": (not_read.examples[0].id,), "update": "NV-24-101"}
    with pytest.raises(BadInput, match="Choose the texts"):
        answer(shop, job, not_read, Answer.TAKE, update="NV-24-101")
    assert answer(shop, job, not_read, Answer.TAKE, **only).without_day == 1
    assert answer(shop, job, not_read, Answer.TAKE, **only, done_on=date(2026, 2, 1)).done == 1
    assert [row[:2] for row in counted(shop)] == [("NV-24-101", 1)]


def test_a_column_of_closing_days_makes_no_reflash_of_an_oil_change(shop: RunningShop) -> None:
    closed = {"reflashed_on": "2026-02-05"}
    job = take(shop, "history", lines(closed | {"work_done": "oil change"}, closed | {"work_done": GONE})).id
    assert counted(shop) == []
    [group] = read(shop, job).groups
    assert group.examples[0].done_on == date(2026, 2, 5)
