"""A first step that a technician would take, and rules that hold through the interface as on the pages."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from starlette.testclient import TestClient

from kb.desk.context import RunningShop
from kb.desk.notes import notes
from tests.api.asking import Caller
from tests.factories import actor_of, an_update

Ask = Callable[..., Any]
CAR = {"make": "Norvane", "model": "Tessel", "year": 2019}


@pytest.fixture
def ask(sqlite_shop: RunningShop, sqlite_client: TestClient) -> Ask:
    """Asks as the technician of a shop with one bulletin."""
    with sqlite_shop.writing(actor_of(sqlite_shop, "lead")) as desk:
        notes.write_note(desk, an_update())
    tech = Caller(sqlite_client, sqlite_shop, "tech")
    return lambda method, path, *more: tech.ask(method, f"/concerns{path}", *more)


def opened(ask: Ask, complaint: str, **more: Any) -> int:
    number: int = ask("POST", "", {"ro_number": "7", "complaint": complaint, **CAR, **more}, 201)["id"]
    return number


def test_a_silent_vehicle_is_led_through_what_comes_first_one_gate_after_the_other(ask: Ask) -> None:
    car = opened(ask, "nocrank, no comm w everthing, key lite flashin")
    met = []
    while (step := ask("GET", f"/{car}/advice")["steps"][0])["do"] == "settle" and step["key"]:
        assert ask("GET", f"/{car}/advice")["verdict"] == "check_first"
        met.append(step["key"])
        gates = ask("PUT", f"/{car}/gates/{step['key']}", {"result": "fine"})
        assert step["key"] in {one["key"] for one in gates}
    assert met == [
        *("support_on", "codes_saved", "battery", "port_fuse", "power_ground"),
        *("add_ons_out", "gateway", "other_car"),
    ]
    ask("PUT", f"/{car}/gates/port_fuse", {"result": "fault"})
    repair = ask("GET", f"/{car}/advice")["steps"][0]
    assert (repair["do"], repair["cause"]) == ("repair", "blown fuse of the diagnostic port")


@pytest.mark.parametrize(
    ("complaint", "just_before", "first"),
    [
        ("auto stop start quit since bat replaced", "", "battery_type"),
        ("auto start stop does not work", "battery replaced", "battery_type"),
        ("hybird wont go to ready, red triangel, 12v was dead", "", "support_on"),
        ("batt dead evry 3 days, new batt last mo", "", ""),
        ("bucks n jerks lite throtle goin uphill only wen warm", "", ""),
    ],
)
def test_what_people_write_decides_what_comes_first(
    ask: Ask, complaint: str, just_before: str, first: str
) -> None:
    car = opened(ask, complaint, just_before=just_before)
    assert ask("GET", f"/{car}/advice")["steps"][0]["key"] == first


def test_a_leak_found_leads_to_its_repair_and_closes_as_that_cause(ask: Ask) -> None:
    car = opened(ask, "bucks and jerks at light throttle uphill when warm", codes_scanned="none_stored")
    ask("PUT", f"/{car}/calibrations/PCM", {"calibration_id": "NV10A", "source": "read"})
    ask("PUT", f"/{car}/look-ups/PCM", {"looked_up_on": "2026-10-01", "newest_id": "NV10B"})
    for check, result in (("smoke_test", "yes"), ("bulletin_conditions", "no"), ("voltage_drop", "yes")):
        ask("PUT", f"/{car}/findings/{check}", {"result": result})
    ask("PUT", f"/{car}/findings/voltage_drop", {"result": "no"})
    said = ask("GET", f"/{car}/advice")
    step = said["steps"][0]
    assert (said["verdict"], step["do"], step["key"]) == ("keep_diagnosing", "repair", "smoke_test")
    assert (
        step["text"] == "Smoke-test the intake: LEAKS. Repair the leak, test again, then close as that cause"
    )
    ask("POST", f"/{car}/close", {"ending": "other_cause", "other_cause": step["cause"]})
    closed = ask("GET", f"/{car}")
    assert closed["other_cause"] == "leak in the intake or crankcase ventilation"
    assert closed["next_step"] == "closed"


def test_a_vehicle_that_leaves_today_is_not_kept_for_a_night_and_it_can_be_corrected(ask: Ask) -> None:
    car = opened(ask, "bucks light throttle", overnight="no")
    held = ask("GET", f"/{car}")
    assert held["overnight"] == "no"
    ask("PUT", f"/{car}", {"complaint": "bucks", "version": held["version"], "overnight": "yes", **CAR})
    assert ask("GET", f"/{car}")["overnight"] == "yes"
    ask("POST", "", {"ro_number": "8", "complaint": "bucks", "overnight": "perhaps"}, 422)


def test_nothing_newer_than_a_typed_id_is_refused_until_the_id_is_confirmed(ask: Ask) -> None:
    car = opened(ask, "bucks light throttle")
    typed = {"calibration_id": "NV10B", "source": "typed"}
    ask("PUT", f"/{car}/calibrations/PCM", typed)
    nothing = {"looked_up_on": "2026-10-01", "nothing_newer": True}
    refused = ask("PUT", f"/{car}/look-ups/pcm", nothing, 422)["error"]
    assert refused["fields"] == {"module": "confirm its ID first"}
    assert "PCM NV10B is not confirmed: nobody read it from the vehicle" in refused["message"]
    ask("PUT", f"/{car}/calibrations/PCM", typed | {"confirmed": True})
    [module] = ask("PUT", f"/{car}/look-ups/pcm", nothing)
    assert module["state"] == "newest_on_file"


def test_a_make_without_updates_is_doubted_in_the_notices(ask: Ask) -> None:
    car = opened(ask, "bucks light throttle", make="Norvan")
    assert (
        "No update on file is of make Norvan; did you mean Norvane?"
        in ask("GET", f"/{car}/advice")["notices"]
    )
