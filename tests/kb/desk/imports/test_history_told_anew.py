"""What a later file tells differently: told as if that file alone had been taken, save what people edited."""

from __future__ import annotations

from typing import Any

import pytest
from alembic import command
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from sqlalchemy import select as query

from kb.desk.bay.concern import concerns, facts
from kb.desk.bay.programming import programming
from kb.desk.context import RunningShop
from kb.desk.imports import import_undo
from kb.nouns.concerns import CodesScanned, Duplicated, RoadTest
from kb.records.migrate import alembic_config, migrate
from kb.records.tables import (
    ConcernCode,
    ConcernRow,
    FollowUpRow,
    OtherWork,
    Outcome,
    ProgrammingEvent,
    Reflash,
    RepairOrder,
    VehicleRow,
)
from tests.factories import a_concern, a_vehicle
from tests.kb.desk.imports.importing import LEAD, TECH, counts, everything, history, take, view
from tests.kb.desk.imports.test_import_history import OTHER_VIN, VIN, rows

pytestmark = pytest.mark.both_databases
HISTORY = "history"
CORRECTED = {
    "make": "Tarn",
    "model": "Ferry",
    "odometer": "84210",
    "opened_on": "2026-02-27",
    "codes": "P0300 P0171",
    "other_work": "plugs",
    "calibration_after": "NV1C",
    "gone_at_road_test": "no",
    "last_seen_on": "2026-05-01",
}
CHANGES: list[dict[str, str]] = [
    {},
    {"codes": "P0300", "opened_on": "2025-12-30"},
    {"codes": "", "model": "Ferry", "odometer": "5"},
    {"other_work": "hose; plugs", "last_seen_on": "2026-08-01"},
    {"other_work": "", "gone_at_road_test": "no", "cost": "9"},
    {"other_cause": "plug", "year": "2018"},
    {"came_back": "", "returned_on": ""},
    {"way": "sublet"},
]


def told(shop: RunningShop) -> list[list[tuple[Any, ...]]]:
    """What a history made, in the words of the rows: no ids, no stamps."""
    shown: list[tuple[Any, ...]] = [
        (VehicleRow, "vin", "make", "model", "year"),
        (RepairOrder, "number", "opened_on", "odometer"),
        (ConcernRow, "line", "complaint", "opened_on", "codes_scanned", "ending", "other_cause", "closed_on"),
        (ConcernCode, "code"),
        (ProgrammingEvent, "performed_on", "remark", "way", "technician"),
        (OtherWork, "what"),
        (Reflash, "module", "calibration_before", "calibration_after", "result"),
        (Outcome, "reflashed_on", "odometer", "duplicated_before", "road_test", "other_work", "counted_as"),
        (Outcome, "event_kind", "event_day", "heard_day", "comeback_cost_minor"),
        (FollowUpRow, "result", "seen_on", "how", "remark", "cost_minor", "day_known", "heard"),
    ]
    with shop.records.reading() as session:
        return [
            sorted(
                (tuple(row) for row in session.execute(query(*(getattr(table, n) for n in names)))), key=str
            )
            for table, *names in shown
        ]


def ends_as_alone(shop: RunningShop, rows_and_changes: list[tuple[dict[str, str], dict[str, str]]]) -> None:
    later = history(*(row | change for row, change in rows_and_changes))
    first = take(shop, HISTORY, history(*(row for row, _ in rows_and_changes)))
    second = take(shop, HISTORY, later)
    after_both = told(shop)
    for one in (second, first):
        import_undo.undo_import(shop, LEAD, one.id)
    alone = take(shop, HISTORY, later)
    assert after_both == told(shop)
    import_undo.undo_import(shop, LEAD, alone.id)


REFLASHED = {"vin": VIN, "ro_number": "1", "reflashed_on": "2026-01-05"}
VISIT = {"vin": VIN, "ro_number": "2", "reflashed_on": ""}


@settings(max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@example([(REFLASHED, {"last_seen_on": "2026-08-01"}), (VISIT, {})])
@given(st.lists(st.tuples(rows, st.sampled_from(CHANGES)), min_size=1, max_size=6))
def test_a_changed_file_ends_as_if_it_alone_had_been_taken(
    sqlite_shop: RunningShop, some: list[tuple[dict[str, str], dict[str, str]]]
) -> None:
    ends_as_alone(sqlite_shop, some)


@pytest.mark.parametrize(
    ("said", "change"),
    [
        ({"came_back": "yes"}, {"came_back": ""}),
        ({}, {"other_cause": "plug"}),
        ({"gone_at_road_test": "no"}, {"gone_at_road_test": "yes"}),
        ({"last_seen_on": "2026-08-01"}, {"last_seen_on": ""}),
        ({"way": "dealer, free"}, {"way": ""}),
    ],
)
def test_what_a_visit_told_follows_from_the_rows_as_they_stand(
    shop: RunningShop, said: dict[str, str], change: dict[str, str]
) -> None:
    ends_as_alone(shop, [(REFLASHED | said, change), (VISIT, {})])


def test_what_a_file_corrects_reaches_vehicle_order_and_concern_and_can_go_back(shop: RunningShop) -> None:
    other = {"vin": VIN, "ro_number": "9", "reflashed_on": "2026-03-09"}
    take(shop, HISTORY, history({"vin": VIN}, other))
    before = everything(shop)
    second = take(shop, HISTORY, history({"vin": VIN} | CORRECTED, other))
    assert counts(second) == (0, 1, 1)
    after = everything(shop)
    [vehicle], [concern, _], [reflash, _] = (after[name] for name in ("vehicle", "concern", "reflash"))
    order = next(one for one in after["repair_order"] if one["id"] == concern["repair_order_id"])
    codes = {one["code"] for one in after["concern_code"] if one["concern_id"] == concern["id"]}
    assert (vehicle["make"], vehicle["model"]) == ("Tarn", "Ferry")
    assert (order["odometer"], str(order["opened_on"])) == (84_210, "2026-02-27")
    assert (codes, reflash["calibration_after"]) == ({"P0171", "P0300"}, "NV1C")
    import_undo.undo_import(shop, LEAD, second.id)
    assert everything(shop) == before


def test_what_somebody_edited_stays_where_a_file_tells_it_differently(sqlite_shop: RunningShop) -> None:
    take(sqlite_shop, HISTORY, history({"vin": VIN}))
    with sqlite_shop.writing(TECH) as desk:
        facts.put_codes(desk, 1, "U0100", CodesScanned.STORED)
    before = everything(sqlite_shop)
    take(sqlite_shop, HISTORY, history({"vin": VIN} | CORRECTED))
    after = everything(sqlite_shop)
    for edited in ("concern", "concern_code", "repair_order"):
        assert after[edited] == before[edited]
    [was], [now] = before["outcome"], after["outcome"]
    assert (now["id"], now["reflash_id"]) == (was["id"], was["reflash_id"])
    assert (was["road_test"], now["road_test"]) == ("gone", "still_there")


@pytest.mark.parametrize(
    ("row", "later", "tested"),
    [
        ({}, {"engine": "2.4 L"}, (RoadTest.STILL_THERE, Duplicated.NO)),
        ({}, {"gone_at_road_test": ""}, (RoadTest.STILL_THERE, Duplicated.NO)),
        ({"gone_at_road_test": "no"}, {"duplicated_before": "yes"}, (RoadTest.GONE, None)),
    ],
)
def test_a_road_test_since_stays_where_a_file_tells_the_rest_of_its_row_differently(
    shop: RunningShop,
    row: dict[str, str],
    later: dict[str, str],
    tested: tuple[RoadTest, Duplicated | None],
) -> None:
    said = {"vin": VIN, "duplicated_before": "no" if row else "yes"} | row
    take(shop, HISTORY, history(said))
    with shop.writing(TECH) as desk:
        programming.record_road_test(desk, 1, *tested)
    [before] = everything(shop)["outcome"]
    second = take(shop, HISTORY, history(said | {"odometer": "84210"} | later))
    [after] = everything(shop)["outcome"]
    assert counts(second) == (0, 1, 0)
    assert (after["road_test"], after["odometer"]) == (tested[0].value, 84_210)
    assert after["duplicated_before"] == later.get("duplicated_before", before["duplicated_before"])
    assert after["counted_as"] == before["counted_as"]
    import_undo.undo_import(shop, LEAD, second.id)
    assert everything(shop)["outcome"] == [before]


def test_what_nobody_could_enter_is_an_error_of_its_row(sqlite_shop: RunningShop) -> None:
    """An odometer of 2,000,001 miles and 10,001 characters are refused at the form, and so they are here."""
    bad = [{"ro_number": "2", "odometer": "2000001"}, {"ro_number": "3", "complaint": "b" * 10_001}]
    taken = take(sqlite_shop, HISTORY, history({}, *bad))
    assert (counts(taken), taken.error_count) == ((1, 0, 0), 2)
    assert [(one.line, one.field) for one in taken.errors if one.line] == [(3, "odometer"), (4, "complaint")]


def test_a_row_that_a_later_file_changed_stays_on_a_person_s_concern_until_that_is_undone(
    sqlite_shop: RunningShop,
) -> None:
    said = {"vin": VIN, "year": "2005", "complaint": "stalls"}
    draft = a_concern(ro_number="2087", line="A", complaint="stalls", vehicle=a_vehicle(year=2005, vin=VIN))
    with sqlite_shop.writing(TECH) as desk:
        own = concerns.open_concern(desk, draft).id
    first = take(sqlite_shop, HISTORY, history(said))
    later = take(sqlite_shop, HISTORY, history(said | {"gone_at_road_test": "no"}))
    import_undo.undo_import(sqlite_shop, LEAD, first.id)
    assert ("concern", own) in {(one.noun, one.id) for one in view(sqlite_shop, first.id).kept}
    import_undo.undo_import(sqlite_shop, LEAD, later.id)
    assert view(sqlite_shop, later.id).reverted == 1
    assert [one["road_test"] for one in everything(sqlite_shop)["outcome"]] == ["gone"]


def test_a_history_of_an_older_database_is_told_anew_and_taken_back_after_the_upgrade(
    shop: RunningShop,
) -> None:
    """Two rows that heard the same, two of one sitting, one changed since, one that a visit told of."""
    heard = {"vin": VIN, "last_seen_on": "2026-05-01", "other_work": "plugs; battery", "event": "E-1"}
    other = heard | {"update": "NV-24-102", "module": "TCM", "other_work": "plugs"}
    back = {"vin": OTHER_VIN, "ro_number": "3", "returned_on": "2026-04-01", "cost": "12"}
    again = {"vin": OTHER_VIN, "ro_number": "4", "opened_on": "2026-03-20", "reflashed_on": ""}
    empty = _without_measures(shop)
    first = take(shop, HISTORY, history(heard, other, back | {"returned_on": ""}, again))
    second = take(shop, HISTORY, history(heard, other, back, again))
    before = _without_measures(shop)
    assert {row["history_row_id"] is None for row in before["outcome"] + before["other_work"]} == {False}
    engine = shop.records.engine
    with engine.execution_options(beforeflash_writes=True).begin() as connection:
        command.downgrade(alembic_config(connection), "0019")
    migrate(engine)
    shop.memory.forget()
    assert _without_measures(shop) == before
    third = take(shop, HISTORY, history(heard | {"last_seen_on": ""}, other | CORRECTED, back, again))
    assert counts(third) == (0, 2, 2)
    for one in (third, second, first):
        import_undo.undo_import(shop, LEAD, one.id)
    assert _without_measures(shop) == empty


def _without_measures(shop: RunningShop) -> dict[str, Any]:
    """An older program knows no measures of checks and keeps none."""
    told = everything(shop)
    checks = [{k: said for k, said in one.items() if k != "measure"} for one in told["diagnostic_check"]]
    return told | {"diagnostic_check": checks}
