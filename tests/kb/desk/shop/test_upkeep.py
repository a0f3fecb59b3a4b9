"""What equipment costs a year, and which version was in use at a sitting, from the desk to the page."""

from __future__ import annotations

from datetime import timedelta

import pytest
from sqlmodel import select
from starlette.testclient import TestClient

from kb.desk.bay.concern import concerns
from kb.desk.bay.programming import programming
from kb.desk.context import RunningShop
from kb.desk.shop import equipment, upkeep
from kb.desk.shop.equipment import EquipmentDraft, EquipmentKind
from kb.desk.shop.upkeep import EquipmentCost, VersionDraft
from kb.errors import BadInput
from kb.nouns.concerns import ModuleResult, ProgrammingEventDraft, ReflashResult
from kb.records.tables import ProgrammingEvent
from tests.factories import a_concern, actor_of, headers_of
from tests.web.browsing import Visitor


@pytest.fixture
def device(sqlite_shop: RunningShop) -> int:
    with sqlite_shop.writing(actor_of(sqlite_shop, "lead")) as desk:
        return equipment.add_equipment(desk, EquipmentDraft(EquipmentKind.PASS_THRU_DEVICE, "Gray case")).id


def test_a_sitting_keeps_the_version_that_was_entered_for_its_day(
    sqlite_shop: RunningShop, device: int
) -> None:
    with sqlite_shop.writing(actor_of(sqlite_shop, "lead")) as desk:
        days = [desk.today - timedelta(days=ago) for ago in (30, 10, 0)]
        concern = concerns.open_concern(desk, a_concern(opened_on=days[0] - timedelta(days=5))).id
        for said, day in (("4.0", days[0]), ("4.2", days[1]), ("4.1", days[1])):
            upkeep.add_version(desk, device, VersionDraft(said, "7.1", day))
        for day in (days[0] - timedelta(days=1), days[0], days[1] - timedelta(days=1), days[2]):
            module = ModuleResult("PCM", ReflashResult.NOTHING_NEWER, concern_ids=(concern,))
            programming.record_event(desk, ProgrammingEventDraft((module,), day, device_id=device))
        kept = desk.session.execute(
            select(ProgrammingEvent.device_version).order_by(ProgrammingEvent.performed_on)  # type: ignore[arg-type]
        ).scalars()
        assert list(kept) == ["", *["firmware 4.0, driver 7.1"] * 2, "firmware 4.1, driver 7.1"]
        [told] = upkeep.list_upkeep(desk)
        assert [one.content.words for one in told.versions] == [
            "firmware 4.1, driver 7.1",
            "firmware 4.0, driver 7.1",
        ]
        with pytest.raises(BadInput, match="firmware or the driver"):
            upkeep.add_version(desk, device, VersionDraft(" ", "", desk.today))
        with pytest.raises(BadInput, match="still to come"):
            upkeep.add_version(desk, device, VersionDraft("5", "", desk.today + timedelta(days=1)))
        with pytest.raises(BadInput, match="go together"):
            upkeep.put_cost(desk, device, EquipmentCost(120000, None))


def test_cost_and_version_are_entered_on_the_page_and_told_over_the_interface(
    sqlite_shop: RunningShop, sqlite_client: TestClient, device: int
) -> None:
    """1,499.00 over 4 years is 374.75 a year, by hand."""
    lead = Visitor(sqlite_shop).sign_in("lead")
    piece = f"/shop/equipment/{device}"
    assert "does not count it" in lead.see(piece).text
    page = lead.send(piece, f"{piece}/cost", {"price": "1,499", "years": ""}, expect=422)
    assert "price and years go together" in page.text
    assert "$374.75 a year" in lead.send(piece, f"{piece}/cost", {"price": "1,499", "years": "4"}).text
    page = lead.send(piece, f"{piece}/versions", {"firmware": "4.2", "driver": "7.1"})
    assert "firmware 4.2, driver 7.1" in page.text
    headers = headers_of(sqlite_shop, "owner")
    [told] = sqlite_client.get("/api/equipment/upkeep", headers=headers).json()
    assert told["cost"] == {"price": 1499.0, "years": 4, "a_year": 374.75}
    body = {"price": None, "years": None}
    gone = sqlite_client.put(f"/api/equipment/{device}/cost", json=body, headers=headers).json()
    assert gone == {"price": None, "years": None, "a_year": None}
    body = {"driver": "8", "since": "2020-02-01"}
    made = sqlite_client.post(f"/api/equipment/{device}/versions", json=body, headers=headers)
    assert (made.status_code, made.json()["content"]["driver"]) == (201, "8")
    refused = sqlite_client.get("/api/equipment/upkeep", headers=headers_of(sqlite_shop, "tech"))
    assert refused.status_code == 403
