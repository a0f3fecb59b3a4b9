"""Sign-offs by page and by interface: lead and owner enter them, a technician sees the own."""

from __future__ import annotations

from datetime import date

from starlette.testclient import TestClient

from kb.desk.access import accounts
from kb.desk.bay.programming import programming
from kb.desk.context import RunningShop
from kb.desk.shop import own_access, sign_offs
from kb.nouns.concerns import ModuleResult, ProgrammingEventDraft, ReflashResult
from kb.nouns.shop.sign_offs import AccessDraft, AccessKind, SignOffDraft, WorkKind
from tests.factories import MAKE, actor_of, headers_of
from tests.web.browsing import Visitor

FORM = {
    "kinds": ["update", "airbag"],
    "makes": f"{MAKE}, Tarn",
    "trained_what": "class",
    "valid_to": "2026-11-20",
}


def test_the_owner_signs_off_and_sees_who_needs_it(bay: RunningShop) -> None:
    tech = actor_of(bay, "tech").user_id
    with bay.writing(actor_of(bay, "tech")) as desk:
        module = ModuleResult("PCM", ReflashResult.COMPLETED, 1, concern_ids=(1,))
        programming.record_event(desk, ProgrammingEventDraft((module,), desk.today))
    owner, at = Visitor(bay).sign_in("owner"), f"/shop/people/{tech}/sign-offs"
    people = owner.see("/shop/people")
    assert "Nobody is signed off yet, so nothing is held back." in people.text
    assert "Technician: updates of Norvane (programmed" in people.text
    assert f"{at}?make=Norvane#add" in people.links
    filled = owner.see(f"{at}?make=Norvane")
    assert "updates of Norvane (programmed" in filled.text
    fields = filled.form(at).fields
    assert (fields["kinds"], fields["makes"]) == (["update"], ["Norvane"])
    page = owner.send(at, at, FORM | {"note": "PIN 4711"}, expect=422)
    assert "This looks like a password or key" in page.text
    assert page.form(at).fields["trained_what"] == ["class"]
    assert owner.see(at).text.count("to Nov 20, 2026") == 0
    page = owner.send(at, at, FORM | {"newcomer": "yes"})
    assert page.text.count("first three co-signed") == 4, "two kinds on two makes"
    people = owner.see("/shop/people")
    assert "Technician: updates" not in people.text
    assert f"Technician: sign-off for airbags of {MAKE} ends Nov 20, 2026" in people.text
    assert "Nobody is signed off for updates of Norvane; 1 concern is open" in people.text, "a newcomer alone"
    assert "nothing is held back" not in people.text
    end = next(one.action for one in page.forms if one.action.endswith("/end"))
    assert owner.send(at, end).text.count("first three co-signed") == 3
    page = owner.send(at, f"/shop/people/{tech}/access", {"make": "Tarn", "ends_on": "2026-11-10"})
    assert "security credential" in page.text
    assert not [one for one in page.all("input") if one.get("type") == "password"]
    assert "Technician: security credential of Tarn ends Nov 10, 2026" in owner.see("/shop/people").text


def test_a_technician_sees_the_own_and_no_form(bay: RunningShop) -> None:
    tech, lead = (actor_of(bay, name).user_id for name in ("tech", "lead"))
    with bay.writing(actor_of(bay, "lead")) as desk:
        sign_offs.sign_off(desk, tech, SignOffDraft((WorkKind.UPDATE,), (MAKE,)))
        own_access.add_access(
            desk, tech, AccessDraft(AccessKind.GATEWAY_REGISTRATION, MAKE, date(2026, 12, 1))
        )
    visitor = Visitor(bay).sign_in("tech")
    people = visitor.see("/shop/people")
    assert [one for one in people.links if one.endswith("/sign-offs")] == [f"/shop/people/{tech}/sign-offs"]
    assert "Who needs signing off" not in people.text
    page = visitor.see(f"/shop/people/{tech}/sign-offs")
    assert "gateway registration" in page.text
    assert [one.action for one in page.forms if "/shop/people" in one.action] == []
    visitor.see(f"/shop/people/{lead}/sign-offs", expect=403)
    token = {"form_token": visitor.see("/shop/people").forms[0].fields["form_token"]}
    refused = visitor.client.post(f"/shop/people/{tech}/sign-offs/1/end", data=token)
    assert refused.status_code == 403
    assert "came from another site" not in refused.text, "the person is refused, not the form"
    with bay.reading(actor_of(bay, "lead")) as desk:
        assert [one.ended_on for one in sign_offs.sign_offs_of(desk, tech)] == [None]


def test_the_interface_tells_and_takes_the_same(client: TestClient, shop: RunningShop) -> None:
    tech, lead = headers_of(shop, "tech"), headers_of(shop, "lead")
    whose = actor_of(shop, "tech").user_id
    at = f"/api/users/{whose}/sign-offs"
    asked = {"kind": "update", "make": "Tarn"}
    assert client.get("/api/sign-offs", params=asked, headers=tech).json()["recorded"] is False
    body = {"kinds": ["update", "security"], "makes": ["Tarn"]}
    assert client.post(at, json=body, headers=tech).status_code == 403
    assert client.post(at, json=body | {"kinds": ["juggling"]}, headers=lead).status_code == 422
    [first, _] = client.post(at, json=body, headers=lead).json()
    told = client.get("/api/sign-offs", params=asked, headers=tech).json()
    assert (told["recorded"], told["alone"], told["cosigned"]) == (True, ["tech"], [])
    access = {"kind": "security_credential", "make": "Tarn", "ends_on": "2026-11-10"}
    own = client.post(f"/api/users/{whose}/access", json=access, headers=lead).json()
    assert (
        client.post(f"/api/users/{whose}/access", json=access | {"password": "x"}, headers=lead).status_code
        == 422
    )
    seen = client.get(at, headers=tech).json()
    assert [len(seen["sign_offs"]), len(seen["own_access"])] == [2, 1]
    assert client.get("/api/sign-offs/needed", headers=tech).status_code == 403
    needed = client.get("/api/sign-offs/needed", headers=lead).json()
    assert [one["on"] for one in needed["ends"]] == ["2026-11-10"]
    assert client.post(f"/api/sign-offs/{first['id']}/end", headers=lead).json()["ended_on"] == "2026-10-31"
    assert client.post(f"/api/access/{own['id']}/end", headers=lead).json()["gone_on"] == "2026-10-31"
    with shop.writing(actor_of(shop, "owner")) as desk:
        accounts.disable_user(desk, whose)
    assert client.get("/api/sign-offs", params=asked, headers=lead).json()["alone"] == []
