"""Getting ready, a failed programming and release through HTTP, as a program does them."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

from kb.desk.bay.concern import concerns, facts
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.vehicles import CalibrationStep
from tests.api.asking import Caller
from tests.factories import MAKE, a_concern, a_vehicle, actor_of, an_update


@pytest.fixture
def concern(sqlite_shop: RunningShop) -> int:
    with sqlite_shop.writing(actor_of(sqlite_shop, "lead")) as desk:
        steps = (CalibrationStep("BCM", ("B10",), "B11"), CalibrationStep("PCM", ("NV10A",), "NV10B"))
        body = "New calibrations: B11 (CVN 8C12A04F). Maintain 13.0 to 14.0 V while programming."
        notes.write_note(desk, an_update(steps=steps, body=body, relearns=("idle relearn",)))
        return concerns.open_concern(desk, a_concern(odometer=48_210)).id


def item(prep: Any, key: str) -> Any:
    return next(one for place in prep["places"] for one in place["items"] if one["key"] == key)


def event(shop: RunningShop, concern: int, result: str, module: str = "PCM", **said: Any) -> Any:
    with shop.reading(actor_of(shop, "tech")) as desk:
        day = desk.today.isoformat()
    done = {"module": module, "result": result, "concern_ids": [concern]} | said
    return {"modules": [done], "performed_on": day, "road_test": "gone"}


def test_voltages_are_held_against_what_is_possible_and_what_is_printed(
    sqlite_client: TestClient, sqlite_shop: RunningShop, concern: int
) -> None:
    tech, lead = Caller(sqlite_client, sqlite_shop, "tech"), Caller(sqlite_client, sqlite_shop, "lead")
    path = f"/concerns/{concern}/prep"
    assert item(tech.ask("GET", path), "support_voltage")["window"] == [13.0, 14.0]
    asked = {"make": MAKE, "place": "battery", "text": "Support voltage at least 13.2 V", "unit": "V"}
    entered = lead.ask("POST", "/requirements", asked, 201)
    assert entered["reads"] == ["support voltage at least 13.2 V"]
    assert item(tech.ask("GET", path), "support_voltage")["window"] == [13.2, 14.0]
    for wrong in ("11.9", "15.6", "12.4", "14.2"):
        refused = tech.ask("PUT", f"{path}/support_voltage", {"measured": wrong}, 422)["error"]
        assert "measured" in refused["fields"], wrong
    listed = tech.ask("PUT", f"{path}/support_voltage", {"measured": "13.5"})
    told = item(listed, "support_voltage")
    assert (told["settled"], told["inside"], told["measured"]) == (True, True, "13.5")
    refused = tech.ask("PUT", f"{path}/battery_rested", {"measured": "11.9"}, 422)["error"]
    assert "charge first" in refused["message"]
    passed = {"measured": "12.1", "passed_over": "new battery stands ready"}
    rested = item(tech.ask("PUT", f"{path}/battery_rested", passed), "battery_rested")
    assert (rested["window"], rested["settled"], rested["measured"]) == (None, True, "12.1")


def test_after_an_error_another_attempt_waits_for_the_recovery_or_the_lead(
    sqlite_client: TestClient, sqlite_shop: RunningShop, concern: int
) -> None:
    tech, lead = Caller(sqlite_client, sqlite_shop, "tech"), Caller(sqlite_client, sqlite_shop, "lead")
    stopped = event(sqlite_shop, concern, "stopped", error_text="E-0447")
    tech.ask("POST", "/programming-events", stopped, 201)
    advice = tech.ask("GET", f"/concerns/{concern}/advice")
    assert [stop["kind"] for stop in advice["stops"]] == ["not_recovered"]
    assert advice["verdict"] == "check_first"
    assert tech.ask("GET", f"/concerns/{concern}/prep")["stops"] == ["not_recovered"]
    for module, result in (("PCM", "completed"), ("TCM", "completed"), ("TCM", "stopped")):
        other = event(sqlite_shop, concern, result, module)
        refused = tech.ask("POST", "/programming-events", other, 422)["error"]
        assert "waits for the lead" in refused["message"]
    tech.ask("POST", "/programming-events", event(sqlite_shop, concern, "nothing_newer", "TCM"), 201)
    lift = f"/concerns/{concern}/stops/not_recovered/lift"
    tech.ask("POST", lift, {"reason": "let me try"}, 403)
    lead.ask("POST", lift, {"reason": "the manufacturer's line says so, case 1182"})
    tech.ask("POST", "/programming-events", event(sqlite_shop, concern, "completed", "TCM"), 201)
    tech.ask("POST", "/programming-events", event(sqlite_shop, concern, "recovered"), 201)
    assert tech.ask("GET", f"/concerns/{concern}/advice")["stops"] == []


@pytest.mark.parametrize(("module", "under_other_line"), [("PCM1", False), ("pcm 1", True)])
def test_a_recovery_counts_however_the_module_is_written_and_under_whichever_line(
    sqlite_client: TestClient, sqlite_shop: RunningShop, module: str, under_other_line: bool
) -> None:
    with sqlite_shop.writing(actor_of(sqlite_shop, "tech")) as desk:
        vehicle = a_vehicle(vin="1M8GDM9AXKP042788", year=1989)  # published worked example
        mine, other = (concerns.open_concern(desk, a_concern(vehicle=vehicle)).id for _ in range(2))
    tech = Caller(sqlite_client, sqlite_shop, "tech")
    sitting = event(sqlite_shop, mine, "completed", "TCM")
    sitting["modules"] += event(sqlite_shop, mine, "stopped", "PCM 1")["modules"]
    tech.ask("POST", "/programming-events", sitting, 201)
    assert tech.ask("GET", f"/concerns/{mine}")["next_step"] == "advice"
    recovery = event(sqlite_shop, other if under_other_line else mine, "recovered", module)
    tech.ask("POST", "/programming-events", recovery, 201)
    assert tech.ask("GET", f"/concerns/{mine}")["next_step"] == "release"
    assert tech.ask("GET", f"/concerns/{mine}/advice")["stops"] == []


def test_release_with_a_required_calibration_is_refused_until_it_is_answered_for(
    sqlite_client: TestClient, sqlite_shop: RunningShop, concern: int
) -> None:
    tech = Caller(sqlite_client, sqlite_shop, "tech")
    path = f"/concerns/{concern}/release"
    tech.ask("POST", path, {}, 422)
    done = event(
        sqlite_shop, concern, "completed", "BCM", update_id=1, calibration_after="B11", cvn_after="00000000"
    )
    tech.ask("POST", "/programming-events", done, 201)
    listed = tech.ask("GET", path)
    cvn = next(one for one in listed["items"] if one["asks"] == "cvn")
    assert cvn["expected"] == "8C12A04F"
    assert len(listed["open"]) == 1 + len(listed["items"])

    cameras = f"{path}/release-cameras"
    tech.ask("PUT", cameras, {"answer": "required"}, 422)
    assert (
        "proof"
        in tech.ask("PUT", cameras, {"answer": "required_done", "how": "static"}, 422)["error"]["fields"]
    )
    listed = tech.ask("PUT", cameras, {"answer": "required_not_done"})
    assert "required and not done" in listed["open"][0]

    odometer = f"{path}/release-odometer"
    refused = tech.ask("PUT", odometer, {"after": 0}, 422)["error"]
    assert "49 USC 32704" in refused["message"]
    why = {"reason": "glass shop calibrates it on Monday", "customer_told": True}
    assert "odometer" in tech.ask("POST", path, why, 422)["error"]["fields"]
    tech.ask("PUT", odometer, {"after": 48_210})
    tech.ask("PUT", f"{path}/{cvn['key']}", {"cvn": "1A2B3C4D"}, 422)
    tech.ask("PUT", f"{path}/{cvn['key']}", {"cvn": "8c12a04f"})
    for one in listed["items"]:
        if not one["asks"]:
            tech.ask("PUT", f"{path}/{one['key']}", {})

    close = f"/concerns/{concern}/close"
    assert "release" in tech.ask("POST", close, {"ending": "cured_by_reflash"}, 422)["error"]["fields"]
    refused = tech.ask("POST", path, {}, 422)["error"]
    assert set(refused["fields"]) == {"reason", "customer_told"}
    tech.ask("POST", path, why | {"customer_told": False}, 422)
    released = tech.ask("POST", path, why)["released"]
    assert (released["by"], released["reason"], released["customer_told"]) == ("tech", why["reason"], True)
    assert "required and not done" in released["open_then"]
    tech.ask("POST", close, {"ending": "cured_by_reflash"})


def test_the_odometer_before_is_the_one_of_the_repair_order_where_it_was_passed_over(
    sqlite_client: TestClient, sqlite_shop: RunningShop, concern: int
) -> None:
    tech = Caller(sqlite_client, sqlite_shop, "tech")
    tech.ask("PUT", f"/concerns/{concern}/prep/odometer_before", {"passed_over": "the cluster is dark"})
    tech.ask("POST", "/programming-events", event(sqlite_shop, concern, "completed", "BCM"), 201)
    listed = tech.ask("GET", f"/concerns/{concern}/release")
    assert [one["expected"] for one in listed["items"] if one["asks"] == "odometer"] == ["48210"]


def test_a_new_programming_opens_the_list_again_and_the_cameras_stay_answered(
    sqlite_client: TestClient, sqlite_shop: RunningShop, concern: int, clock: Any
) -> None:
    tech = Caller(sqlite_client, sqlite_shop, "tech")
    path = f"/concerns/{concern}/release"
    tech.ask("POST", "/programming-events", event(sqlite_shop, concern, "completed"), 201)
    source = {"answer": "not_required", "source": "service information, cameras"}
    tech.ask("PUT", f"{path}/release-cameras", source)
    tech.ask("PUT", f"{path}/release-rescan", {})
    assert tech.ask("POST", path, {"reason": "in a hurry", "customer_told": True})["released"]
    clock.move(days=1)
    tech.ask("POST", "/programming-events", event(sqlite_shop, concern, "completed"), 201)
    listed = tech.ask("GET", path)
    assert listed["released"] is None
    assert "All modules scanned again; nothing new and unexplained" in listed["open"]
    assert listed["cameras"]["said"] == {"source": source["source"]}


def test_permanent_codes_and_a_tune_are_asked_about(
    sqlite_client: TestClient, sqlite_shop: RunningShop, concern: int
) -> None:
    tech = Caller(sqlite_client, sqlite_shop, "tech")
    with sqlite_shop.writing(actor_of(sqlite_shop, "tech")) as desk:
        facts.put_gate(desk, concern, "stock_calibration", "fault")
    found = tech.ask("GET", f"/concerns/{concern}/prep")
    assert "written word" in item(found, "tune_written_word")["text"]
    code = {"code": "P0171", "status": "permanent"}
    body = {"ro_number": "99", "complaint": "light is on", "make": MAKE, "codes": [code]}
    other = tech.ask("POST", "/concerns", body, 201)["id"]
    tech.ask("POST", "/programming-events", event(sqlite_shop, other, "completed"), 201)
    texts = [one["text"] for one in tech.ask("GET", f"/concerns/{other}/release")["items"]]
    assert any("P0171" in text and "by driving only" in text for text in texts)
