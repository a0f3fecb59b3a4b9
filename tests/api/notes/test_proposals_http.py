"""Proposals over HTTP: a lesson begun from a concern, proposed by a technician, answered by a lead."""

from __future__ import annotations

from starlette.testclient import TestClient

from kb.desk.bay.concern import concerns
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from tests.api.asking import Caller
from tests.factories import a_concern, actor_of, an_update


def test_a_lesson_is_begun_proposed_and_published(client: TestClient, shop: RunningShop) -> None:
    tech, lead = Caller(client, shop, "tech"), Caller(client, shop, "lead")
    with shop.writing(actor_of(shop, "tech")) as desk:
        concern_id = concerns.open_concern(desk, a_concern()).id
    begun = tech.ask("GET", f"/concerns/{concern_id}/lesson")
    assert begun["symptom"] == a_concern().complaint
    lesson = {"kind": "lesson", "title": "Purge valve first", "body": begun["body"]}
    body = {"kind": "lesson", "concern_id": concern_id, "lesson": lesson}
    made = tech.ask("POST", "/proposals", body, 201)
    assert (made["state"], made["lesson"]["title"], made["made_by"]) == (
        "proposed",
        "Purge valve first",
        "tech",
    )
    act = f"/proposals/{made['id']}"
    assert tech.ask("POST", f"{act}/publish", {"version": 1}, 403)["error"]["code"] == "not_allowed"
    [waiting] = lead.ask("GET", "/proposals?state=proposed")
    taken = lead.ask("POST", f"{act}/publish", {"version": waiting["version"], "answer": "Good."})
    assert (taken["state"], taken["answer"], taken["answered_by"]) == ("taken", "Good.", "lead")
    assert lead.ask("GET", f"/notes/{taken['made_note_id']}")["state"] == "published"
    assert tech.ask("GET", "/proposals?mine=true") == [taken]
    assert tech.ask("GET", act) == taken
    assert (
        lead.ask("POST", f"{act}/decline", {"version": 1, "answer": "no"}, 409)["error"]["code"] == "conflict"
    )


def test_a_note_is_corrected_a_check_added_and_one_declined(client: TestClient, shop: RunningShop) -> None:
    tech, lead = Caller(client, shop, "tech"), Caller(client, shop, "lead")
    with shop.writing(actor_of(shop, "lead")) as desk:
        notes.write_note(desk, an_update())
    otherwise = {"kind": "says_otherwise", "note_id": 1, "says": "It ends with 2020"}
    first, second = (tech.ask("POST", "/proposals", otherwise, 201)["id"] for _ in range(2))
    note = lead.ask("GET", "/notes/1")
    right = {
        "kind": "bulletin",
        "title": note["title"],
        "number": note["number"],
        "replaces": ["NV-23-017"],
        "coverage": [{"make": "Norvane", "model": "Tessel", "years": [[2017, 2020]]}],
    }
    body = {"version": 1, "note_version": note["version"], "note": right}
    assert lead.ask("POST", f"/proposals/{first}/correct", body)["state"] == "taken"
    assert lead.ask("GET", "/notes/1")["replaces"] == ["NV-23-017"]
    assert lead.ask("POST", f"/proposals/{second}/decline", {"version": 1}, 422)["error"]["fields"] == {
        "answer": "a line is needed"
    }
    assert (
        lead.ask("POST", f"/proposals/{second}/decline", {"version": 1, "answer": "Done."})["state"]
        == "declined"
    )
    words = {"name": "Press on the hose", "question": "Does the idle change?"}
    check = tech.ask("POST", "/proposals", {"kind": "better_check", "check": words}, 201)
    guesses = {"yes_word": "YES", "no_word": "NO", "yes_in_10_cured": 1, "yes_in_10_not": 6}
    added = lead.ask("POST", f"/proposals/{check['id']}/add-check", {"version": 1, "check": words | guesses})
    assert added["state"] == "taken"
    assert added["made_check_id"] in [one["id"] for one in tech.ask("GET", "/checks")]
    own = tech.ask("POST", "/proposals", {"kind": "better_check", "check": words}, 201)
    assert tech.ask("POST", f"/proposals/{own['id']}/withdraw", {"version": 1})["state"] == "withdrawn"


def test_a_note_is_looked_at_and_an_old_version_taken_up_again(client: TestClient, shop: RunningShop) -> None:
    tech, lead = Caller(client, shop, "tech"), Caller(client, shop, "lead")
    with shop.writing(actor_of(shop, "lead")) as desk:
        note = notes.write_note(desk, an_update())
        notes.change_note(desk, note.id, 1, an_update(title="Surges"))
    tech.ask("POST", "/notes/1/looked-at", {"version": 2}, 403)
    seen = lead.ask("POST", "/notes/1/looked-at", {"version": 2})
    assert (seen["looked_at_by"], seen["look_again_on"]) == ("lead", None)
    assert tech.ask("GET", "/notes/1/looked-at") == seen
    again = lead.ask("POST", "/notes/1/restore", {"version": 2, "old_version": 1})
    assert (again["version"], again["title"]) == (3, an_update().title)
    lead.ask("POST", "/notes/1/restore", {"version": 2, "old_version": 1}, 409)
