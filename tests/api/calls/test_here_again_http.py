"""A vehicle that is here again, through the interface: asked first, answered once, and kept when killed."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta

import httpx
from starlette.testclient import TestClient

from kb.desk.bay.concern import concerns as concerns_desk
from kb.desk.bay.outcomes.observed import stories_of
from kb.desk.bay.programming import programming
from kb.desk.calls import what_was_heard
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.concerns import ModuleResult, ProgrammingEventDraft, ReflashResult, RoadTest
from kb.records.store.outcomes import outcomes as outcome_store
from tests import patience
from tests.api.conftest import Server, StartServer
from tests.conftest import StandingClock
from tests.factories import a_concern, a_vehicle, actor_of, an_update

VEHICLES, KILLED_AFTER = 40, 15


def vin(number: int) -> str:
    return f"XV1FB3A28K8{number:06d}"


def reflashed(shop: RunningShop, vehicles: int, clock: StandingClock) -> None:
    """Concerns 1 to `vehicles`, each of a vehicle of its own, cured at the road test."""
    tech = actor_of(shop, "tech")
    with shop.writing(actor_of(shop, "lead")) as desk:
        notes.write_note(desk, an_update())
    for number in range(1, vehicles + 1):
        with shop.writing(tech) as desk:
            car = a_vehicle(vin=vin(number))
            one = concerns_desk.open_concern(desk, a_concern(ro_number=f"1{number}", vehicle=car)).id
            module = ModuleResult("PCM", ReflashResult.COMPLETED, 1, concern_ids=(one,))
            done = ProgrammingEventDraft((module,), desk.today, road_test=RoadTest.GONE)
            programming.record_event(desk, done)
    clock.move(days=30)


def new_order(client: TestClient | httpx.Client, number: int, complaint: str) -> dict[str, object]:
    body = {
        "ro_number": f"2{number}",
        "complaint": complaint,
        "vin": vin(number),
        "make": "Norvane",
        "model": "Tessel",
        "year": 2019,
        "vin_confirmed": True,
    }
    answer = client.post("/api/concerns", json=body)
    assert answer.status_code == 201, answer.text
    opened: dict[str, object] = answer.json()
    return opened


def test_opening_a_concern_says_what_to_ask_first_and_one_answer_is_kept(
    sqlite_shop: RunningShop, sqlite_client: TestClient, as_tech: dict[str, str], clock: StandingClock
) -> None:
    reflashed(sqlite_shop, 1, clock)
    sqlite_client.headers.update(as_tech)
    opened = new_order(sqlite_client, 1, "bucking again uphill")
    assert isinstance(opened["asked_first"], list)
    [first] = opened["asked_first"]
    assert (first["concern_id"], first["alike"], first["said"], first["days"]) == (1, ["bucking"], None, 30)
    address = f"/api/concerns/{opened['id']}/earlier/1"
    made = [sqlite_client.post(address, json={"said": "old_one"}) for _ in range(2)]
    assert [one.status_code for one in made] == [201, 201]
    assert made[0].json() == made[1].json()
    refused = sqlite_client.post(address, json={"said": "still_fixed"})
    assert (refused.status_code, refused.json()["error"]["details"]["theirs"]) == (409, "came_back")
    [told] = sqlite_client.get(f"/api/concerns/{opened['id']}").json()["asked_first"]
    assert (told["said"], told["follow_up_id"]) == ("came_back", made[0].json()["id"])
    assert sqlite_client.post("/api/concerns/1/earlier/1", json={"said": "old_one"}).status_code == 404


def test_a_road_test_that_somebody_else_wrote_down_is_not_written_over_unseen(
    sqlite_shop: RunningShop, sqlite_client: TestClient, as_tech: dict[str, str], clock: StandingClock
) -> None:
    reflashed(sqlite_shop, 1, clock)
    address = "/api/concerns/1/road-test"
    late = {"road_test": "still_there", "was": "not_done"}
    refused = sqlite_client.post(address, json=late, headers=as_tech)
    assert (refused.status_code, refused.json()["error"]["details"]) == (409, {"theirs": "gone"})
    right = late | {"was": "gone"}
    assert sqlite_client.post(address, json=right, headers=as_tech).status_code == 204


def test_a_server_killed_amid_taps_has_kept_every_answer_that_it_acknowledged(
    start_server: StartServer,
) -> None:
    """Two people tap; the kill comes amid it. No answer is there without what reports group by."""
    server = start_server()
    clock = StandingClock(datetime.now(UTC) - timedelta(days=31))
    setting_up = RunningShop.open(server.database, clock=clock)
    reflashed(setting_up, VEHICLES, clock)
    setting_up.close()
    kept = _tap_until_killed(server)
    assert len(kept) >= KILLED_AFTER
    shop = RunningShop.open(server.database)
    with shop.reading(actor_of(shop, "lead")) as desk:
        assert desk.session.connection().exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"
        for heard, earlier in kept.items():
            assert what_was_heard.read_follow_up(desk, heard).concern_id == earlier
        for concern in range(1, VEHICLES + 1):
            [(outcome, *_)] = outcome_store.outcomes_of_concern(desk.session, concern)
            [story] = stories_of(desk, [concern])[concern]
            assert {name: getattr(outcome, name) for name in story.columns()} == story.columns()
    shop.close()


def _tap_until_killed(server: Server) -> dict[int, int]:
    """The acknowledged follow-ups, each with its concern."""
    kept: dict[int, int] = {}
    with server.client("tech") as client:
        visits = {n: new_order(client, n, "squeaks over bumps")["id"] for n in range(1, VEHICLES + 1)}

    def tap(numbers: range) -> None:
        with server.client("tech") as client:
            for number in numbers:
                address = f"/api/concerns/{visits[number]}/earlier/{number}"
                try:
                    answer = client.post(address, json={"said": ("still_fixed", "came_back")[number % 2]})
                except httpx.TransportError:
                    return
                assert answer.status_code == 201, answer.text
                kept[answer.json()["id"]] = number
                if len(kept) == KILLED_AFTER:
                    server.process.kill()

    with ThreadPoolExecutor(2) as people:
        for done in [people.submit(tap, range(at, VEHICLES + 1, 2)) for at in (1, 2)]:
            done.result(patience.LONG)
    return kept
