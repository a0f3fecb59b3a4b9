"""Undo of a history keeps what people did since and lists it: "unless edited or used since" (design.md 3)."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest
from sqlmodel import select

from kb.desk.bay.concern import concerns
from kb.desk.bay.programming import money, programming
from kb.desk.calls import call_list
from kb.desk.context import Desk, RunningShop
from kb.desk.imports import import_undo
from kb.desk.imports.import_told import ImportState, ImportView
from kb.nouns.bay.customer_word import AuthorizationDraft
from kb.nouns.concerns import RoadTest
from kb.records.tables import Authorization, ConcernRow, Outcome, Payment
from tests.factories import a_concern, a_vehicle
from tests.kb.desk.imports.importing import LEAD, TECH, everything, history, take, view

pytestmark = pytest.mark.both_databases

# The sample of 49 CFR 565.15 table V with its check digit.
VIN = "1G4AH59H45G118341"


def road_test(desk: Desk, concern_id: int) -> None:
    programming.record_road_test(desk, concern_id, RoadTest.STILL_THERE)


def same_road_test(desk: Desk, concern_id: int) -> None:
    programming.record_road_test(desk, concern_id, RoadTest.GONE)


def promise(desk: Desk, concern_id: int) -> None:
    call_list.promise_call(desk, concern_id, desk.today + timedelta(days=5))


def pay(desk: Desk, concern_id: int) -> None:
    money.record_payment(desk, concern_id, "cost", 5000, "shop")


def agree(desk: Desk, concern_id: int) -> None:
    money.authorize(desk, concern_id, AuthorizationDraft(10_000, "the customer", "", "credited"))


def undone(shop: RunningShop, import_id: int) -> ImportView:
    import_undo.undo_import(shop, LEAD, import_id)
    seen = view(shop, import_id)
    assert seen.state is ImportState.UNDONE
    return seen


def kept_concerns(seen: ImportView) -> list[int]:
    return [one.id for one in seen.kept if one.noun == "concern"]


@pytest.mark.parametrize("work", [road_test, same_road_test, promise, pay, agree])
def test_a_concern_with_any_work_since_is_kept_as_it_was_left_and_listed(
    shop: RunningShop, work: Callable[[Desk, int], None]
) -> None:
    first = take(shop, "history", history({"vin": VIN}, {"ro_number": "7"}))
    with shop.writing(TECH) as desk:
        worked_on, other = desk.session.scalars(select(ConcernRow.id).order_by(ConcernRow.id)).all()
        work(desk, worked_on or 0)
    before = everything(shop)
    assert kept_concerns(undone(shop, first.id)) == [worked_on]
    after = everything(shop)
    for name in ("outcome", "follow_up", "payment", "customer_authorization"):
        of_it = [one for one in before[name] if one.get("concern_id", worked_on) != other]
        assert after[name] == of_it


def test_money_of_an_order_keeps_every_concern_that_the_import_put_on_it(sqlite_shop: RunningShop) -> None:
    first = take(sqlite_shop, "history", history({"vin": VIN}, {"vin": VIN, "line": "B"}))
    with sqlite_shop.writing(TECH) as desk:
        ids = desk.session.scalars(select(ConcernRow.id).order_by(ConcernRow.id)).all()
        pay(desk, ids[1] or 0)
        agree(desk, ids[1] or 0)
    assert kept_concerns(undone(sqlite_shop, first.id)) == list(ids)
    with sqlite_shop.records.reading() as session:
        assert [len(session.exec(select(one)).all()) for one in (Payment, Authorization)] == [1, 1]


def test_work_before_the_import_on_a_concern_of_the_shop_is_no_use_of_it_but_work_since_is(
    sqlite_shop: RunningShop,
) -> None:
    said = {"vin": VIN, "year": "2005", "complaint": "stalls"}
    draft = a_concern(ro_number="2087", line="A", complaint="stalls", vehicle=a_vehicle(year=2005, vin=VIN))
    with sqlite_shop.writing(TECH) as desk:
        own = concerns.open_concern(desk, draft).id
        pay(desk, own)
    before = everything(sqlite_shop)
    first = take(sqlite_shop, "history", history(said))
    assert undone(sqlite_shop, first.id).kept == ()
    assert everything(sqlite_shop) == before
    again = take(sqlite_shop, "history", history(said))
    with sqlite_shop.writing(TECH) as desk:
        road_test(desk, own)
    assert kept_concerns(undone(sqlite_shop, again.id)) == [own]
    with sqlite_shop.records.reading() as session:
        assert [one.road_test for one in session.exec(select(Outcome))] == ["still_there"]


def test_a_concern_that_a_later_file_changed_stays_until_that_is_undone_too(sqlite_shop: RunningShop) -> None:
    first = take(sqlite_shop, "history", history({"vin": VIN, "gone_at_road_test": "no"}))
    later = take(sqlite_shop, "history", history({"vin": VIN, "gone_at_road_test": "yes"}))
    assert len(kept_concerns(undone(sqlite_shop, first.id))) == 1
    assert undone(sqlite_shop, later.id).reverted == 1
