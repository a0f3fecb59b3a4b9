"""An update that asks for an inspection first, over HTTP: it is neither advised nor begun before that."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

from kb.desk.context import RunningShop
from tests.api.asking import asks
from tests.api.notes.test_speaks_against_http import BULLETIN, CONCERN
from tests.factories import headers_of

INSPECT = BULLETIN | {"remedy": "inspect_then_software", "speaks_against": []}
READ = {"calibration_id": "NV10A", "source": "read"}


@pytest.mark.parametrize("by_a_check", [False, True])
def test_the_inspection_comes_before_the_reflash_and_stands_on_the_prep_list(
    client: TestClient, shop: RunningShop, by_a_check: bool
) -> None:
    lead, tech = headers_of(shop, "lead"), headers_of(shop, "tech")
    ask = asks(client)

    against = [{"says": "The intake leaks", "check": "smoke_test"}] if by_a_check else []
    note = ask("POST", "/notes", lead, INSPECT | {"speaks_against": against}, 201)["id"]
    ask("PUT", "/settings/prior_cured_in_10", lead, {"value": 9.5, "source_line": "for the test"})
    concern = ask("POST", "/concerns", tech, CONCERN, 201)["id"]
    ask("PUT", f"/concerns/{concern}/calibrations/PCM", tech, READ)
    looked_up = {"looked_up_on": shop.facts.day_of(shop.clock()).isoformat(), "newest_id": "NV10B"}
    ask("PUT", f"/concerns/{concern}/look-ups/PCM", tech, looked_up)
    ask("PUT", f"/concerns/{concern}/findings/bulletin_conditions", tech, {"result": "yes"})

    said = ask("GET", f"/concerns/{concern}/advice", tech)
    assert said["plan"]["do"] == "reflash", "what the plan would do is known; it waits for the inspection"
    assert said["verdict"] == "check_first"
    assert said["steps"][0]["text"].startswith("Inspect as NV-24-101 asks")
    line = f"inspect-{note}"
    listed = {one["key"]: one for one in _items(ask("GET", f"/concerns/{concern}/prep", tech))}
    assert listed[line]["text"].startswith("The inspection that NV-24-101 asks for is done")
    if by_a_check:
        ask("PUT", f"/concerns/{concern}/findings/smoke_test", tech, {"result": "no"})
    else:
        ask("PUT", f"/concerns/{concern}/prep/{line}", tech, {"passed_over": "no time"}, 422)
        ask("PUT", f"/concerns/{concern}/prep/{line}", tech, {"measured": ""}, 422)
        ask("PUT", f"/concerns/{concern}/prep/{line}", tech, {"measured": "x"}, 422)
        ask("PUT", f"/concerns/{concern}/prep/{line}", tech, {"measured": "intake and hoses tight"})
        paper = client.get(f"/api/concerns/{concern}/ro-text", headers=tech).text
        assert "Inspection found: intake and hoses tight" in paper
    after = ask("GET", f"/concerns/{concern}/advice", tech)
    assert after["verdict"] == "reflash"
    assert after["steps"][0]["text"] == "Reflash NV-24-101"
    again = {one["key"]: one for one in _items(ask("GET", f"/concerns/{concern}/prep", tech))}
    assert (line in again) is not by_a_check


def _items(prep: dict[str, Any]) -> list[dict[str, Any]]:
    return [item.get("line", item) for place in prep["places"] for item in place["items"]]
