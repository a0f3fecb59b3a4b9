"""A follow-up through the interface: recorded, put right by its version, taken back."""

from __future__ import annotations

from starlette.testclient import TestClient

from kb.desk.bay.concern import concerns as concerns_desk
from kb.desk.bay.programming import programming
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.concerns import ModuleResult, ProgrammingEventDraft, ReflashResult, RoadTest
from tests.conftest import StandingClock
from tests.factories import a_concern, actor_of, an_update


def test_a_follow_up_is_put_right_once_a_version_and_taken_back(
    sqlite_shop: RunningShop, sqlite_client: TestClient, as_tech: dict[str, str], clock: StandingClock
) -> None:
    with sqlite_shop.writing(actor_of(sqlite_shop, "lead")) as desk:
        notes.write_note(desk, an_update())
        concern = concerns_desk.open_concern(desk, a_concern()).id
        module = ModuleResult("PCM", ReflashResult.COMPLETED, 1, concern_ids=(concern,))
        programming.record_event(desk, ProgrammingEventDraft((module,), desk.today, road_test=RoadTest.GONE))
    clock.move(days=10)
    today = str(clock().date())
    heard = f"/api/concerns/{concern}/follow-ups"
    said = {"result": "came_back", "seen_on": today, "day_known": False}
    made = sqlite_client.post(heard, json=said, headers=as_tech)
    assert made.status_code == 201
    [shown] = sqlite_client.get(f"/api/concerns/{concern}", headers=as_tech).json()["follow_ups"]
    assert (shown["day_known"], shown["version"]) == (False, 1)
    address = f"/api/follow-ups/{made.json()['id']}"
    right = said | {"day_known": True, "version": 1}
    assert sqlite_client.put(address, json=right, headers=as_tech).status_code == 204
    again = sqlite_client.put(address, json=right, headers=as_tech)
    assert again.status_code == 409
    assert sqlite_client.put(address, json=said, headers=as_tech).status_code == 422
    assert sqlite_client.delete(address, headers=as_tech).status_code == 204
    assert sqlite_client.get(f"/api/concerns/{concern}", headers=as_tech).json()["follow_ups"] == []
    assert sqlite_client.delete(address, headers=as_tech).status_code == 404
