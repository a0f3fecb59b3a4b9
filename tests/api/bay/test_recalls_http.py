"""Recalls of a concern through HTTP: listed whatever it says, settled by one look-up, and the gate after."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from starlette.testclient import TestClient

from kb.desk.context import RunningShop
from tests.applications import interface_over
from tests.factories import headers_of
from tests.kb.desk.bay.test_recalls import ROWS
from tests.kb.desk.imports.importing import take

STOP = "A recall that touches this module or concern is open on this VIN. Open: 23V652."


@pytest.fixture
def tech(sqlite_shop: RunningShop) -> Iterator[TestClient]:
    take(sqlite_shop, "recall-communications", ROWS)
    with TestClient(interface_over(sqlite_shop), headers=headers_of(sqlite_shop, "tech")) as client:
        yield client


def ok(answer: Any) -> Any:
    assert answer.is_success, answer.text
    return answer.json()


def opened(tech: TestClient, **said: Any) -> str:
    body = {
        "ro_number": "2087",
        "complaint": "HECU fuse blown",
        "make": "Kia",
        "model": "Optima",
        "year": 2015,
    }
    return f"/api/concerns/{ok(tech.post('/api/concerns', json=body | said))['id']}"


def test_a_recall_found_open_stops_until_it_is_done(tech: TestClient) -> None:
    concern = opened(tech)
    found = ok(tech.get(f"{concern}/recalls"))
    assert {one["number"] for one in found["recalls"]} == {"20V519", "21V331", "23V652"}
    first = found["recalls"][0]
    told = (first["number"], first["touches"], first["shares"], first["result"], first["by"])
    assert told == ("23V652", True, ["hecu"], "", "")
    assert (found["on_file"], found["gate"], found["none_open"]) == (3, "", None)
    assert any("15 years" in one and "49 USC 30120" in one for one in found["said"])
    is_open = ok(tech.put(f"{concern}/recalls/23v-652", json={"result": "open"}))
    kept = is_open["recalls"][0]
    assert (kept["result"], kept["by"], bool(kept["on"]), is_open["gate"]) == ("open", "tech", True, "fault")
    assert [one["sentence"] for one in ok(tech.get(f"{concern}/advice"))["stops"]] == [STOP]
    ok(tech.put(f"{concern}/recalls/23V652", json={"result": "done"}))
    assert ok(tech.get(f"{concern}/advice"))["stops"] == []


def says_recalls_not_checked(advice: dict[str, Any]) -> bool:
    return any("ecalls" in one and "not checked for this VIN" in one for one in advice["notices"])


def test_one_look_up_that_found_none_open_settles_the_gate_and_can_be_taken_back(tech: TestClient) -> None:
    concern = opened(tech)
    found = ok(tech.put(f"{concern}/recalls", json={"result": "none_open"}))
    assert (found["gate"], found["none_open"]["by"]) == ("fine", "tech")
    gates = {one["key"]: one["result"] for one in ok(tech.get(concern))["gates"]}
    assert gates["recall_checked"] == "fine"
    assert not says_recalls_not_checked(ok(tech.get(f"{concern}/advice")))
    assert ok(tech.put(f"{concern}/recalls", json={"result": ""}))["gate"] == ""
    assert says_recalls_not_checked(ok(tech.get(f"{concern}/advice")))


def test_a_number_that_is_not_on_file_is_taken_and_one_that_is_none_is_refused(tech: TestClient) -> None:
    concern = opened(tech)
    found = ok(tech.put(f"{concern}/recalls/26V-001", json={"result": "open", "touches": False}))
    first = found["recalls"][0]
    assert (first["number"], first["note"], first["touches"], first["standing"]) == (
        "26V001",
        None,
        False,
        "not on file here",
    )
    for path, body in (("recalls/x", {"result": "open"}), ("recalls/26V001", {"result": "none_open"})):
        refused = tech.put(f"{concern}/{path}", json=body)
        assert refused.status_code == 422
        assert refused.json()["error"]["fields"]
    assert tech.get("/api/concerns/99/recalls").status_code == 404
    assert tech.put(f"{concern}/recalls", json={"result": "open"}).status_code == 422


def test_a_lead_may_join_models_and_search_reads_them_so(tech: TestClient, sqlite_shop: RunningShop) -> None:
    asked = {"q": "HECU", "make": "Kia", "model": "K5"}
    assert ok(tech.get("/api/search", params=asked))["results"] == []
    body = {"make": "Kia", "names": ["Optima", "K5"]}
    assert tech.post("/api/families", json=body).status_code == 403
    lead = headers_of(sqlite_shop, "lead")
    made = ok(tech.post("/api/families", json=body, headers=lead))
    found = ok(tech.get("/api/search", params=asked))["results"]
    assert {one["applies"] for one in found} == {"cannot_tell"}
    assert found[0]["number"] == "23V652"
    assert ok(tech.get("/api/families"))[0]["names"] == ["Optima", "K5"]
    ok(tech.post(f"/api/families/{made['id']}/undo", headers=lead))
    assert ok(tech.get("/api/search", params=asked))["results"] == []
