"""Many notes at once over HTTP: told beforehand, changed, no longer found, and put back."""

from __future__ import annotations

from typing import Any

from starlette.testclient import TestClient

from kb.desk.context import RunningShop
from kb.desk.notes import notes
from tests.factories import a_note, actor_of, headers_of


def test_a_list_is_retired_and_comes_back(client: TestClient, sqlite_shop: RunningShop) -> None:
    lead, tech = headers_of(sqlite_shop, "lead"), headers_of(sqlite_shop, "tech")
    with sqlite_shop.writing(actor_of(sqlite_shop, "lead")) as desk:
        ids = [notes.write_note(desk, a_note(title=f"Judder {n} in reverse")).id for n in range(3)]

    def found() -> list[int]:
        answer = client.get("/api/search?q=judder+in+reverse&kind=lesson", headers=tech).json()
        return sorted(one["id"] for one in answer["results"])

    def post(path: str, body: Any = None, who: Any = lead) -> Any:
        return client.post(f"/api/notes/bulk{path}", headers=who, json=body)

    ask = {
        "action": "retire",
        "whole_list": {"kind": "lesson", "q": "judder"},
        "why": "one lesson says it all",
    }
    assert found() == ids
    assert post("/plan", ask).json() == {"total": 3, "would_change": 3, "so_already": 0, "merged": 0}
    assert post("", ask, tech).status_code == 403
    assert post("", ask | {"expected": 4}).json()["error"]["details"]["total"] == 3
    done = post("", ask | {"expected": 3}).json()
    assert (done["state"], done["changed"], done["left"], found()) == ("done", 3, [], [])
    [told] = client.get("/api/notes/bulk", headers=tech).json()
    assert told == client.get(f"/api/notes/bulk/{done['id']}", headers=tech).json() == done
    back = post(f"/{done['id']}/undo").json()
    assert (back["state"], back["put_back"], found()) == ("undone", 3, ids)
    assert post("", {"action": "publish", "ids": []}).status_code == 422
