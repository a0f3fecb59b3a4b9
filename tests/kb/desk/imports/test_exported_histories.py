"""Histories as different programs export them: read as meant, every bad row named, and taken back exactly."""

from __future__ import annotations

from datetime import date

import pytest

from kb.desk.context import RunningShop
from kb.desk.imports import import_undo, imports
from kb.desk.imports.reading_how import how_to_read
from kb.intake.formats import FORMATS
from kb.intake.history.history_row import HistoryRow
from kb.intake.rows import ReadOptions
from kb.nouns.concerns import RoadTest
from kb.nouns.imports import HowToRead
from tests.kb.desk.imports.importing import LEAD, everything, take
from tests.simulated.exported_histories import Export, Order, exports

ORDERS, BAD = 400, 40
TODAY = date(2026, 11, 30)
ROAD_TESTS = {True: RoadTest.GONE, False: RoadTest.STILL_THERE, None: None}
FILES = {one.name: one for one in exports(7, ORDERS, BAD)}


def suggested(shop: RunningShop, file: Export) -> HowToRead:
    with shop.reading(LEAD) as desk:
        return how_to_read(desk, "history", file.data)


def as_meant(row: HistoryRow, order: Order, name: str) -> bool:
    said = (row.ro_number, row.opened_on, row.vin, row.make, row.model, row.year, row.odometer, row.complaint)
    told = (order.number, order.opened_on, order.vin, order.make, order.model, order.year, order.odometer)
    done = (row.update, row.module, row.reflashed_on, row.gone_at_road_test, row.returned_on)
    was = (order.update, order.module, order.reflashed_on, ROAD_TESTS[order.gone], order.returned_on)
    costs = name in ("b.csv", "c.tsv") or (float(row.cost) if row.cost else None) == order.cost
    return said == (*told, order.complaint) and done == was and costs


@pytest.mark.parametrize("name", FILES)
def test_good_rows_are_read_as_meant_by_what_is_suggested(sqlite_shop: RunningShop, name: str) -> None:
    file, how = FILES[name], suggested(sqlite_shop, FILES[name])
    options = ReadOptions(TODAY, how.columns, how.days, layout=how.layout)
    rows = {
        one.file_line: one
        for one in FORMATS["history"].read(file.data, options)
        if isinstance(one, HistoryRow)
    }
    right = [line for line, order in file.good.items() if line in rows and as_meant(rows[line], order, name)]
    assert len(right) >= 0.98 * len(file.good)
    assert len(file.good) == ORDERS - BAD


@pytest.mark.parametrize("name", FILES)
def test_every_bad_row_is_named_and_the_import_taken_back_exactly(
    sqlite_shop: RunningShop, name: str
) -> None:
    file = FILES[name]
    before = everything(sqlite_shop)
    job = take(sqlite_shop, "history", file.data, how=suggested(sqlite_shop, file))
    named = {(one.line, one.column or one.field) for one in job.errors if one.severity == "error"}
    assert named == set(file.bad.items())
    assert (job.created, job.left_out) == (ORDERS - BAD, BAD)
    import_undo.undo_import(sqlite_shop, LEAD, job.id)
    assert everything(sqlite_shop) == before
    with sqlite_shop.reading(LEAD) as desk:
        assert not imports.read_import(desk, job.id).kept
