"""A VIN corrected on a repair order never changes what is on file of another customer's vehicle."""

from __future__ import annotations

import pytest

from kb.desk.bay.concern import concerns, facts, vehicles
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.programming import programming
from kb.desk.context import Desk, RunningShop
from kb.errors import Conflict
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.concerns import ModuleResult, ProgrammingEventDraft, ReflashResult
from kb.nouns.vehicles import LookUp
from tests.factories import a_concern, a_vehicle, actor_of

pytestmark = pytest.mark.both_databases

MINE = "1M8GDM9AXKP042788"  # published worked example, check digit X (check value from memory)
OTHER = "11111111111111111"  # ones alone: the weights sum to 89, 89 mod 11 = 1, the check digit


def open_on(desk: Desk, number: str, vin: str) -> int:
    vehicle = a_vehicle(vin=vin, year=None, model=f"of {number}")
    return concerns.open_concern(desk, a_concern(ro_number=number, vehicle=vehicle)).id


def correct(desk: Desk, concern: int, vin: str) -> ConcernFile:
    held = read_concern(desk, concern)
    form = a_vehicle(vin=vin, year=None, model=held.vehicle.model)
    concerns.change_concern(desk, concern, held.version, a_concern(vehicle=form))
    return read_concern(desk, concern)


def program(desk: Desk, *for_concerns: int) -> None:
    done = ModuleResult("PCM", ReflashResult.COMPLETED, concern_ids=for_concerns, calibration_after="NV10B")
    programming.record_event(desk, ProgrammingEventDraft((done,), desk.today))


def test_the_repair_order_goes_to_a_vehicle_of_its_own_and_what_was_done_goes_too(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        theirs, mine = open_on(desk, "2001", OTHER), open_on(desk, "2002", OTHER)
        program(desk, mine)
        facts.put_look_up(desk, mine, LookUp("PCM", desk.today, "Ines", "NV10B"))
        corrected, left = correct(desk, mine, MINE), read_concern(desk, theirs)
    assert (left.vehicle.vin, left.programmed, left.look_ups, left.visits) == (OTHER, (), (), ())
    assert corrected.vehicle.vin == MINE
    assert [len(corrected.programmed), len(corrected.look_ups), len(corrected.visits)] == [1, 1, 0]


def test_the_repair_order_goes_to_the_vehicle_on_file_whose_facts_stay(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        theirs, mine = open_on(desk, "2001", OTHER), open_on(desk, "2002", MINE)
        corrected, before = correct(desk, mine, OTHER), read_concern(desk, theirs)
        assert corrected.vehicle_id == before.vehicle_id
        assert (corrected.vehicle.vin, corrected.vehicle.model) == (OTHER, "of 2001")
        assert vehicles.find_vehicles(desk, MINE[-8:]) == ()


def test_a_slip_of_the_pen_is_put_right_on_the_vehicle_that_is_here_for_the_first_time(
    shop: RunningShop,
) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        mine = open_on(desk, "2002", OTHER)
        before = read_concern(desk, mine).vehicle_id
        corrected = correct(desk, mine, MINE)
        assert (corrected.vehicle_id, corrected.vehicle.vin) == (before, MINE)


def test_a_sitting_that_counts_for_two_repair_orders_holds_the_vehicle(shop: RunningShop) -> None:
    lead = actor_of(shop, "lead")
    with shop.writing(lead) as desk:
        theirs, mine = open_on(desk, "2001", OTHER), open_on(desk, "2002", OTHER)
        program(desk, theirs, mine)
    with pytest.raises(Conflict, match="open the concern anew"), shop.writing(lead) as desk:
        correct(desk, mine, MINE)
    with shop.reading(lead) as desk:
        assert read_concern(desk, mine).vehicle.vin == OTHER
