"""A bulletin that says what it does not cure: written, met by a finding, and the chance falls; over HTTP."""

from __future__ import annotations

from starlette.testclient import TestClient

from kb.desk.context import RunningShop
from tests.api.asking import asks
from tests.factories import headers_of

BULLETIN = {
    "kind": "bulletin",
    "number": "NV-24-101",
    "title": "Engine bucks and jerks at light throttle",
    "symptom": "surge, buck or jerk at light throttle with a warm engine, uphill",
    "body": "Reflash the powertrain control module with the newer calibration.",
    "codes": ["p0171", "P2096"],
    "code_kinds": {"P0741": "not_part"},
    "coverage": [{"make": "Norvane", "model": "Tessel", "years": [[2017, 2021]]}],
    "steps": [{"module": "PCM", "old_ids": ["NV10A"], "new_id": "NV10B"}],
    "speaks_against": [
        {"says": "It happens over bumps"},
        {"says": "A split intake hose", "check": "smoke_test"},
    ],
    "system": "engine",
}
CONCERN = {
    "ro_number": "2087",
    "complaint": "bucks n jerks lite throtle goin uphill only wen warm",
    "make": "Norvane",
    "model": "Tessel",
    "year": 2019,
}


def test_a_finding_that_the_bulletin_speaks_of_is_shown_and_lowers_the_chance(
    client: TestClient, shop: RunningShop
) -> None:
    lead, tech = headers_of(shop, "lead"), headers_of(shop, "tech")
    ask = asks(client)

    note = ask("POST", "/notes", lead, BULLETIN, 201)
    assert note["codes"] == ["P0171", "P0741", "P2096"]
    assert note["code_kinds"] == {"P0171": "may_be_stored", "P0741": "not_part", "P2096": "defining"}
    assert note["remedy"] == "software", "steps without a remedy said"
    assert [one["says"] for one in note["speaks_against"]] == ["It happens over bumps", "A split intake hose"]
    bumps, smoke = (one["check"] for one in note["speaks_against"])
    assert smoke == "smoke_test"

    concern = ask("POST", "/concerns", tech, CONCERN, 201)["id"]
    [before] = ask("GET", f"/concerns/{concern}/advice", tech)["candidates"]
    assert before["speaks_against"] == []
    ask("PUT", f"/concerns/{concern}/findings/{bumps}", tech, {"result": "yes"})
    [after] = ask("GET", f"/concerns/{concern}/advice", tech)["candidates"]
    assert after["speaks_against"] == [
        {"says": "It happens over bumps", "met_by": "Look whether: it happens over bumps: YES"}
    ]
    assert after["chance"] < before["chance"]
    pushes = {one["key"]: one for one in after["evidence"]}
    assert pushes[bumps]["log_odds"] < 0
    assert pushes[bumps]["is_guess"]

    decided = {"did": "nothing", "why_not": "over bumps: wiring first"}
    ask("POST", f"/concerns/{concern}/decisions", tech, decided, 201)
    ask("PUT", f"/concerns/{concern}/findings/{bumps}", tech, {"result": "no"})
    [not_met] = ask("GET", f"/concerns/{concern}/advice", tech)["candidates"]
    assert not_met["speaks_against"] == []

    content = {name: note[name] for name in note if name not in ("id", "author", "source")}
    again = ask("PUT", f"/notes/{note['id']}", lead, content | {"why": "as it was"})
    assert {**again, "version": 1} == note
    revisions = ask("GET", f"/notes/{note['id']}/revisions", lead)
    assert [one["content"]["speaks_against"] for one in revisions] == [note["speaks_against"]] * 2
    wrong = BULLETIN | {"speaks_against": [{"says": "Bumps", "check": "no_such"}]}
    refused = ask("POST", "/notes", lead, wrong, 422)["error"]
    assert "no_such" in refused["fields"]["speaks_against"]
