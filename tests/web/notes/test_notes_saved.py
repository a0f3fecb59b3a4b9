"""The notes as a file to save: by the links of the list and by the interface, the same."""

from __future__ import annotations

from starlette.testclient import TestClient

from kb.desk.context import RunningShop
from kb.desk.notes import notes
from tests.factories import actor_of, an_update
from tests.web.conftest import SignIn


def test_a_lead_saves_the_notes_from_their_list_as_a_program_does_and_a_technician_does_not(
    sqlite_shop: RunningShop,
    sqlite_client: TestClient,
    signed_in: SignIn,
    as_lead: dict[str, str],
    as_tech: dict[str, str],
) -> None:
    with sqlite_shop.writing(actor_of(sqlite_shop, "lead")) as desk:
        notes.write_note(desk, an_update())
    lead, technician = signed_in("lead"), signed_in("tech")
    links = [link for link in lead.see("/notes").links if "/notes/export/" in link]
    assert links == ["/notes/export/csv", "/notes/export/jsonl"]
    for link in links:
        form = link.rpartition("/")[2]
        saved = lead.client.get(link)
        told = sqlite_client.get(f"/api/notes/export?format={form}", headers=as_lead)
        assert saved.content == told.content
        assert an_update().title in told.text
        assert told.headers["content-disposition"] == f'attachment; filename="notes.{form}"'
        assert told.headers["cache-control"] == "no-store"
        assert technician.client.get(link).status_code == 403
        refused = sqlite_client.get(f"/api/notes/export?format={form}", headers=as_tech)
        assert refused.json()["error"]["code"] == "not_allowed"
    assert not [link for link in technician.see("/notes").links if "/notes/export/" in link]
    assert sqlite_client.get("/api/notes/export?format=xlsx", headers=as_lead).status_code == 422
