"""Programming events through HTTP: a question is answered by a field of the next call, never a dead end."""

from __future__ import annotations

from typing import Any

from starlette.testclient import TestClient

from kb.desk.bay.concern import concerns
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from tests.applications import interface_over
from tests.factories import a_concern, a_vehicle, actor_of, an_update, headers_of

VIN = "1M8GDM9AXKP042788"  # the published example of the check digit, 49 CFR 565.15


def body(shop: RunningShop, concern: int, update: int, **module: Any) -> dict[str, Any]:
    with shop.reading(actor_of(shop, "tech")) as desk:
        day = desk.today.isoformat()
    done = {"module": "PCM", "result": "completed", "update_id": update, "concern_ids": [concern]}
    return {"modules": [done | module], "performed_on": day}


def test_questions_of_the_desk_reach_a_program_and_take_its_answer(sqlite_shop: RunningShop) -> None:
    with sqlite_shop.writing(actor_of(sqlite_shop, "lead")) as desk:
        update = notes.write_note(desk, an_update()).id
        first, second = (
            concerns.open_concern(desk, a_concern(line=line, vehicle=a_vehicle(vin=VIN))).id for line in "AB"
        )
    client, headers = TestClient(interface_over(sqlite_shop)), headers_of(sqlite_shop, "tech")

    def post(path: str, sent: dict[str, Any], expect: int) -> Any:
        answer = client.post(path, json=sent, headers=headers)
        assert answer.status_code == expect, answer.text
        return answer.json()

    close = {"ending": "cured_by_reflash", "cured_by": update}
    refused = post(f"/api/concerns/{first}/close", close, 422)["error"]
    assert "Record the programming event first" in refused["message"]

    odd = body(sqlite_shop, first, update, calibration_after="NV10X", calibration_source="read")
    asked = post("/api/programming-events", odd, 422)["error"]
    assert asked["details"]["unlike_bulletin"][0]["new_ids"] == ["NV10B"]
    assert list(asked["fields"]) == ["modules.0.calibration_confirmed"]
    odd["modules"][0]["calibration_confirmed"] = True
    sitting = post("/api/programming-events", odd, 201)["id"]

    again = post("/api/programming-events", odd, 409)["error"]
    assert (again["code"], again["details"]["event_id"]) == ("conflict", sitting)
    assert again["details"]["concerns"] == [{"id": first, "ref": "RO 2087-A"}]
    assert post("/api/programming-events", odd | {"done_twice": True}, 201)["id"] > sitting

    untold = odd | {"done_twice": True, "duplicated_before": None}
    post("/api/programming-events", untold, 201)
    told = client.get(f"/api/concerns/{first}", headers=headers).json()["reflashes"]
    assert [one["duplicated_before"] for one in told] == ["yes", "yes", "not_tried"]

    other = body(sqlite_shop, second, update) | {"same_sitting_as": sitting}
    assert post("/api/programming-events", other, 201)["id"] == sitting
    post(f"/api/concerns/{first}/close", close, 200)
