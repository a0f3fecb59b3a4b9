"""A value measured at the vehicle, over HTTP: it decides, is kept, and a printed limit rules over ours."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

from kb.desk.context import RunningShop
from tests.api.asking import asks
from tests.api.notes.test_speaks_against_http import BULLETIN, CONCERN
from tests.factories import headers_of

pytestmark = pytest.mark.both_databases


def test_a_value_decides_is_kept_and_shown_and_moves_the_chance(
    client: TestClient, shop: RunningShop
) -> None:
    lead, tech = headers_of(shop, "lead"), headers_of(shop, "tech")
    ask = asks(client)

    def finding(check: str) -> dict[str, Any]:
        found = ask("GET", f"/concerns/{concern}", tech)["findings"]
        return next(one for one in found if one["key"] == check)

    note = ask("POST", "/notes", lead, BULLETIN, 201)
    concern = ask("POST", "/concerns", tech, CONCERN, 201)["id"]
    [before] = ask("GET", f"/concerns/{concern}/advice", tech)["candidates"]
    drop, trim, pressure = (
        f"/concerns/{concern}/findings/{key}" for key in ("voltage_drop", "fuel_trim", "fuel_pressure")
    )

    told = ask("PUT", drop, tech, {"value": 0.42})
    assert told == {"check": "voltage_drop", "result": "yes", "value": 0.42, "unit": "V"}
    kept = finding("voltage_drop")
    assert (kept["result"], kept["number"], kept["unit"], kept["by"]) == ("yes", 0.42, "V", "tech")
    assert kept["limit"] == "over 0.2 V"
    [after] = ask("GET", f"/concerns/{concern}/advice", tech)["candidates"]
    assert after["chance"] < before["chance"]

    refused = ask("PUT", drop, tech, {"value": 420}, 422)["error"]
    assert (
        refused["message"] == "420 V cannot be: it lies between 0 and 30 V. Look at the number and the unit."
    )
    refused = ask("PUT", drop, tech, {"value": 0.42, "result": "no"}, 422)["error"]
    assert refused["message"] == "0.42 V says TOO HIGH: the limit is over 0.2 V."
    assert finding("voltage_drop")["number"] == 0.42
    refused = ask("PUT", f"/concerns/{concern}/findings/smoke_test", tech, {"value": 3}, 422)["error"]
    assert refused["message"] == "“Smoke-test the intake” takes no number: say LEAKS or TIGHT."
    assert ask("PUT", drop, tech, {"result": "not_done"})["value"] == ""
    assert finding("voltage_drop")["number"] is None

    # the trim at idle does not say that it falls at 2,500 rpm: kept, open, then told by a tap or with it
    assert ask("PUT", trim, tech, {"value": 18})["result"] == "inconclusive"
    assert ask("PUT", trim, tech, {"result": "yes"})["result"] == "yes"
    assert finding("fuel_trim")["number"] == 18
    assert ask("PUT", trim, tech, {"value": 18, "result": "no"})["result"] == "no"
    assert ask("PUT", trim, tech, {"value": 4})["result"] == "no"
    ask("PUT", trim, tech, {"result": "yes"})
    assert finding("fuel_trim")["number"] is None, "a tap against the value says that the value was wrong"

    # what is printed for this bulletin rules; without it the shop knows no limit for pressure
    assert ask("PUT", pressure, tech, {"value": 39})["result"] == "inconclusive"
    check = next(one for one in ask("GET", "/checks", lead) if one["key"] == "fuel_pressure")
    content, printed = check["content"], [{"note_id": note["id"], "limit": 45}]
    changed = content | {"measure": content["measure"] | {"printed": printed}, "version": check["version"]}
    ask("PUT", f"/checks/{check['id']}", lead, changed)
    assert ask("PUT", pressure, tech, {"value": 39})["result"] == "yes"
    assert finding("fuel_pressure")["limit"] == "under 45 psi, as NV-24-101 prints it"
    changed |= {"version": check["version"] + 1, "measure": content["measure"] | {"unit": "kPa"}}
    refused = ask("PUT", f"/checks/{check['id']}", lead, changed, 422)["error"]
    assert refused["message"] == "This check has values in psi on file; make a new check for another unit."
