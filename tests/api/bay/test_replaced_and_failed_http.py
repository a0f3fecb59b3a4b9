"""A used module from its stop to its release, and a make's sheet for a failure, through the interface."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

from kb.desk.context import RunningShop
from tests.api.asking import Caller

VIN = "1M8GDM9AXKP042788"  # published worked example, check digit X (check value from memory)
CAR = {"vin": VIN, "make": "Norvane", "model": "Tessel", "year": 1989}


@pytest.fixture
def call(sqlite_client: TestClient, sqlite_shop: RunningShop) -> Any:
    people = {who: Caller(sqlite_client, sqlite_shop, who) for who in ("tech", "lead")}

    def ask(method: str, path: str, body: Any = None, who: str = "tech", status: int = 200) -> Any:
        return people[who].ask(method, path, body, status)

    return ask


def replaced_lines(listed: Any) -> dict[str, Any]:
    return {
        item["key"]: item
        for place in listed["places"]
        if place["place"] == "replaced module"
        for item in place["items"]
    }


def test_a_used_module_goes_on_once_its_list_is_settled(call: Any) -> None:
    said = {"ro_number": "41", "complaint": "dash blank since a used cluster was put in", **CAR}
    path = f"/concerns/{call('POST', '/concerns', said, status=201)['id']}"
    assert replaced_lines(call("GET", f"{path}/prep")) == {}
    call("PUT", f"{path}/gates/module_original", {"result": "fault"})
    assert list(replaced_lines(call("GET", f"{path}/prep"))) == ["replaced-kind"]
    call("PUT", f"{path}/gates/module_original", {"result": "fault", "value": "used"})
    lines = replaced_lines(call("GET", f"{path}/prep"))
    assert next(iter(lines)) == "replaced-old-saved"
    call("PUT", f"{path}/prep/replaced-may-be-locked", {}, status=422)
    call("PUT", f"{path}/prep/replaced-may-be-locked", {"passed_over": "no time"}, status=422)
    refused = call("POST", f"{path}/prep/replaced-module-done", status=422)
    assert "Old module first" in refused["error"]["message"]
    for key, line in lines.items():
        call("PUT", f"{path}/prep/{key}", {"measured": "by the procedure, page 3"} if line["asks"] else {})
    done = call("POST", f"{path}/prep/replaced-module-done")
    assert done["stops"] == []
    assert done["overrides"] == ["module replaced: override by Technician, used module: its list is settled"]
    day = call("GET", path)["opened_on"]
    module = {"module": "IPC", "result": "completed", "concern_ids": [int(path.rpartition("/")[2])]}
    call("POST", "/programming-events", {"performed_on": day, "modules": [module]}, status=201)
    release = {one["key"]: one for one in call("GET", f"{path}/release")["items"]}
    assert {"release-replaced-vin", "release-replaced-setup", "release-odometer"} <= set(release)
    call("PUT", f"{path}/release/release-replaced-vin", {"vin": "11111111111111111"}, status=422)
    call("PUT", f"{path}/release/release-replaced-vin", {"vin": VIN})


def test_the_sheet_of_the_make_is_on_prep_and_only_the_lead_writes_it(call: Any) -> None:
    said = {"ro_number": "42", "complaint": "stalls", **CAR}
    path = f"/concerns/{call('POST', '/concerns', said, status=201)['id']}/prep"
    assert "support line" in call("GET", path)["when_it_fails"]["missing"]
    sheet = {"support_line": "555-0142", "latest_start": "12:00 AM", "module_price": 812.5, "module_days": 3}
    call("PUT", "/failure-sheets/norvane", sheet, status=403)
    kept = call("PUT", "/failure-sheets/norvane", sheet, who="lead")
    assert (kept["latest_start"], kept["module_price"], kept["by"]) == ("00:00", 812.5, "lead")
    call("PUT", "/failure-sheets/Norvane", sheet, who="lead", status=409)
    again = call("PUT", "/failure-sheets/Norvane", sheet | {"tow": "Harbor", "version": 1}, who="lead")
    assert [one["id"] for one in call("GET", "/failure-sheets")] == [again["id"]]
    told = call("GET", path)["when_it_fails"]
    assert told["missing"] == ["its hours"]
    assert told["tell_customer"].endswith("a new one costs $812.50 and takes 3 days.")


def test_an_ro_number_of_another_vehicle_is_answered_with_a_field(call: Any) -> None:
    said = {"ro_number": "2087", "complaint": "bucks", **CAR}
    first = call("POST", "/concerns", said, status=201)
    other = {"ro_number": "2087", "complaint": "radio dead", "make": "Orsel", "model": "Pellow"}
    asked = call("POST", "/concerns", other, status=409)["error"]
    assert asked["details"]["same_number"]["id"] == first["id"]
    both = call("POST", "/concerns", other | {"same_number": "another_vehicle"}, status=201)
    mine = call("POST", "/concerns", said | {"vin": "", "same_number": "this_vehicle"}, status=201)
    assert [one["ref"] for one in (first, both, mine)] == ["RO 2087-A", "RO 2087-B", "RO 2087-C"]
    waits = call("PUT", f"/concerns/{first['id']}/waiting", {"waiting_for": "part", "remark": "hose"})
    assert call("GET", f"/concerns/{first['id']}")["waiting"] == waits
    found = call("GET", "/concerns?mine=true&waiting_for=part")
    assert [one["id"] for one in found] == [first["id"]]
    call("DELETE", f"/concerns/{first['id']}/waiting", status=204)
    assert call("GET", "/concerns?waiting_for=part") == []
