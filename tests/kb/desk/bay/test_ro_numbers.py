"""No two concerns are called "RO 2087-A": whoever types a number that another vehicle has is asked."""

from __future__ import annotations

from collections import Counter
from datetime import timedelta
from typing import Any

import pytest

from kb.desk.bay.concern import concerns
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.handover import concern_list
from kb.desk.bay.programming import money
from kb.desk.context import Desk, RunningShop
from kb.errors import BadInput, Conflict
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.bay.number_for_now import number_for_now
from kb.nouns.concerns import NumberIs
from tests.factories import a_concern, a_vehicle, actor_of

pytestmark = pytest.mark.both_databases

MINE = "1M8GDM9AXKP042788"  # published worked example, check digit X (check value from memory)
OTHER = "11111111111111111"  # ones alone: the weights sum to 89, 89 mod 11 = 1, the check digit


def opened(desk: Desk, vin: str = "", is_: NumberIs = NumberIs.NOT_ASKED, **said: Any) -> ConcernFile:
    car = a_vehicle(vin=vin, year=None, model="Pell" if vin == OTHER else "Tessel")
    return read_concern(desk, concerns.open_concern(desk, a_concern(vehicle=car, same_number=is_, **said)).id)


def test_the_number_of_another_vehicle_is_asked_about_and_either_answer_makes_a_free_line(
    shop: RunningShop,
) -> None:
    lead = actor_of(shop, "lead")
    with shop.writing(lead) as desk:
        first = opened(desk, MINE)
    with pytest.raises(Conflict) as asked, shop.writing(lead) as desk:
        opened(desk)
    assert asked.value.message.startswith("RO 2087-A is 1989 Norvane Tessel 2.0 L …KP042788: “bucks")
    assert asked.value.details["same_number"]["id"] == first.id
    assert set(asked.value.fields) == {"ro_number", "same_number"}
    with shop.writing(lead) as desk:
        second = opened(desk, is_=NumberIs.THIS_VEHICLE, complaint="radio dead")
        assert (second.ref, second.vehicle_id, second.vehicle.vin) == ("RO 2087-B", first.vehicle_id, MINE)
        third = opened(desk, OTHER, NumberIs.ANOTHER_VEHICLE)
        assert (third.ref, third.vehicle.vin) == ("RO 2087-C", OTHER)
        assert third.repair_order_id != first.repair_order_id
        assert [opened(desk, vin).ref for vin in (MINE, OTHER)] == ["RO 2087-D", "RO 2087-E"]
        assert opened(desk, opened_on=desk.today - timedelta(days=400)).ref == "RO 2087-A"


def test_this_vehicle_takes_the_vin_that_was_missing_but_never_another_ones(shop: RunningShop) -> None:
    lead = actor_of(shop, "lead")
    with shop.writing(lead) as desk:
        first = opened(desk)
        second = opened(desk, MINE, NumberIs.THIS_VEHICLE)
        assert (second.ref, second.repair_order_id) == ("RO 2087-B", first.repair_order_id)
        assert read_concern(desk, first.id).vehicle.vin == MINE
    with pytest.raises(BadInput, match=MINE), shop.writing(lead) as desk:
        opened(desk, OTHER, NumberIs.THIS_VEHICLE)


def test_a_line_that_is_on_file_is_no_new_one(shop: RunningShop) -> None:
    lead = actor_of(shop, "lead")
    with shop.writing(lead) as desk:
        opened(desk, MINE, line="a")
    with pytest.raises(Conflict, match="Another line of it: 2087-B") as refused, shop.writing(lead) as desk:
        opened(desk, MINE, line="A")
    assert set(refused.value.fields) == {"ro_number", "line"}


def test_a_vin_put_right_joins_the_repair_orders_of_one_number(shop: RunningShop) -> None:
    lead = actor_of(shop, "lead")
    with shop.writing(lead) as desk:
        kept, moved = opened(desk, MINE), opened(desk, OTHER, NumberIs.ANOTHER_VEHICLE, line="Q")
        twin = opened(desk, OTHER, complaint="radio dead")
        assert [kept.ref, moved.ref, twin.ref] == ["RO 2087-A", "RO 2087-Q", "RO 2087-B"]
        money.authorize(desk, moved.id, money.AuthorizationDraft(18_000, "the customer", "", "credited"))
        right = a_vehicle(vin=MINE, year=None)
        told = concerns.change_concern(desk, moved.id, moved.version, a_concern(vehicle=right))
        assert told.ref == "RO 2087-Q"
        files = [read_concern(desk, one.id) for one in (kept, moved, twin)]
        assert len({(one.repair_order_id, one.vehicle_id) for one in files}) == 1
        assert [one.authorized_minor for one in files] == [18_000] * 3
        refs = Counter(one.ref for one in concern_list.list_concerns(desk))
        assert set(refs.values()) == {1}


def test_where_both_have_an_a_the_one_that_moves_is_said_to_be_b(
    shop: RunningShop,
) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        old = desk.today - timedelta(days=400)
        kept, moved = opened(desk, MINE, opened_on=old), opened(desk, OTHER)
        right = a_vehicle(vin=MINE, year=None)
        told = concerns.change_concern(desk, moved.id, moved.version, a_concern(vehicle=right))
        assert (told.ref, told.warnings[0][:22]) == ("RO 2087-B", "RO 2087-A is RO 2087-B")
        assert read_concern(desk, kept.id).ref == "RO 2087-A"


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"ro_number": "🚗"}, "ro_number"),
        ({"ro_number": "2087_A;"}, "ro_number"),
        ({"ro_number": " -"}, "ro_number"),
        ({"complaint": "a"}, "complaint"),
        ({"complaint": "🚗 !"}, "complaint"),
    ],
)
def test_what_is_no_number_and_no_complaint_is_refused_with_what_is_one(
    shop: RunningShop, said: dict[str, str], field: str
) -> None:
    with pytest.raises(BadInput) as refused, shop.writing(actor_of(shop, "tech")) as desk:
        opened(desk, **said)
    assert set(refused.value.fields) == {field}
    with shop.writing(actor_of(shop, "tech")) as desk:
        assert opened(desk, ro_number="W-20/87.1 b", complaint="no go").ref == "RO W-20/87.1 b-A"


def test_an_order_opened_without_a_number_gets_its_own_once(shop: RunningShop) -> None:
    lead = actor_of(shop, "lead")
    with shop.writing(lead) as desk:
        opened(desk, OTHER)
        new = opened(desk, MINE, ro_number=number_for_now(desk.now))
        assert new.waits_for_number

    def numbered(number: str) -> ConcernFile:
        with shop.writing(lead) as desk:
            version = read_concern(desk, new.id).version
            car = a_vehicle(vin=MINE, year=None)
            concerns.change_concern(desk, new.id, version, a_concern(vehicle=car, ro_number=number))
            return read_concern(desk, new.id)

    with pytest.raises(Conflict, match="RO 2087-A is on file"):
        numbered("2087")
    with pytest.raises(BadInput, match="digit"):
        numbered(" -")
    assert numbered("").ref == new.ref
    given = numbered("2090")
    assert (given.ref, given.waits_for_number) == ("RO 2090-A", False)
    assert numbered("2091").ref == "RO 2090-A"
