"""What was read, on the pages: kept, compared, struck, taken in as a snapshot, and proposed."""

from __future__ import annotations

import json
from datetime import timedelta

import pytest

from kb.desk.bay.concern import concerns
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.bay.read_proposals import OF_A_MODULE, sure
from tests.factories import a_concern, a_vehicle, actor_of, an_update
from tests.web.browsing import Page, Visitor
from web.pages.bay.seen.row import SeenRow

VIN = "1M8GDM9AXKP042788"  # published worked example of the check digit
OTHER = "5GZCZ43D13S812715"  # another one


@pytest.fixture
def tech(shop: RunningShop) -> Visitor:
    with shop.writing(actor_of(shop, "lead")) as desk:
        notes.write_note(desk, an_update())
        car = a_vehicle(vin=VIN, year=1989)
        earlier = desk.today - timedelta(days=30)
        concerns.open_concern(desk, a_concern(vehicle=car, opened_on=earlier))
        concerns.open_concern(desk, a_concern(vehicle=a_vehicle(vin=OTHER, year=2003), ro_number="2090"))
    return Visitor(shop).sign_in("tech")


def programming(day: object) -> dict[str, object]:
    return {
        "module_1": "PCM",
        "result_1": "completed",
        "after_1": "NV10B",
        "after_source_1": "read",
        "cvn_1": "1A2B",
        "duplicated_before": "yes",
        "performed_on": str(day),
        "why": "customer insists",
    }


def test_ids_before_and_after_are_compared_on_concern_release_list_and_ro(
    tech: Visitor, shop: RunningShop
) -> None:
    read = {"module": "PCM", "source": "read", "calibration_id": "NV10A", "cvn": "1A2B"}
    tech.send("/concerns/1", "/concerns/1/calibrations", read | {"more_ids": "NV20A 3C4D\n NV30A"})
    form = tech.see("/concerns/1/programming").html
    assert 'name="cvn_before_1" value="1A2B"' in form
    with shop.reading(actor_of(shop, "tech")) as desk:
        day = desk.today
    tech.send("/concerns/1/programming", "/concerns/1/programming", programming(day))
    same = "ID changed, CVN unchanged: read again after a key cycle"
    assert f"PCM before and after: {same}" in tech.see("/concerns/1").text
    assert f"By what was read: PCM: {same}" in tech.see("/concerns/1/release").text
    tech.send("/concerns/1", "/concerns/1/calibrations", read | {"calibration_id": "NV10B", "cvn": "9F9F"})
    assert "PCM: ID changed, CVN changed" in tech.see("/concerns/1/release").text
    paper = tech.see("/concerns/1/ro-text").html
    for line in ("PCM ID before: NV10A", "NV10B CVN 9F9F", "ID changed, CVN changed"):
        assert line in paper
    tech.send("/concerns/1", "/concerns/1/calibrations", {"module": "PCM", "not_readable": "yes"})
    assert "not readable: not proven" in tech.see("/concerns/1").text


def test_a_mistyped_value_is_struck_by_name(tech: Visitor) -> None:
    tech.send(
        "/concerns/1",
        "/concerns/1/calibrations",
        {"module": "PCM", "calibration_id": "NV1OA", "source": "read"},
    )
    page = tech.see("/concerns/1/readings").html
    assert 'aria-label="Strike PCM NV1OA"' in page
    reading = page.split('name="reading" value="')[1].split('"')[0]
    tech.send("/concerns/1/readings", "/concerns/1/readings/strike", {"reading": reading})
    assert "struck by" in tech.see("/concerns/1/readings").text
    assert "NV1OA" not in tech.see("/concerns/1").text


def test_a_snapshot_of_another_vehicle_is_offered_to_its_concern_and_kept_there_with_one_tap(
    tech: Visitor,
) -> None:
    modules = [{"module": "PCM", "calibrations": [{"calibration_id": "NV10A", "cvn": "1A2B"}]}]
    text = json.dumps({"vin": VIN, "taken_at": "2026-10-31T08:00:00", "modules": modules, "voltage": 12.4})
    file = ("car.json", text.encode(), "application/json")
    here, there = "/concerns/2/readings", "/concerns/2/snapshots"
    refused = tech.send(here, there, file=file, expect=409)
    assert f"RO 2090-A is of {OTHER}. Nothing was filled in." in refused.text
    assert "Keep it with RO 2087-A" in refused.text
    assert "NV10A" not in tech.see("/concerns/2").text
    assert refused.form("/concerns/1/snapshots").fields["snapshot"] == [text]
    mine = "/concerns/1/readings", "/concerns/1/snapshots"
    tech.send(*mine, {"snapshot": text})
    page = tech.see("/concerns/1").text
    assert "NV10A" in page
    assert "12.4 V" in page
    for wrong, words in (("{", "it is no JSON"), ('{"vin": 1}', "stands: vin: takes a text, not a number")):
        assert words in tech.send(*mine, {"snapshot": wrong}, expect=422).text


def test_what_we_put_in_is_taken_with_one_tap_and_then_asks_to_be_confirmed(
    tech: Visitor, shop: RunningShop
) -> None:
    with shop.reading(actor_of(shop, "tech")) as desk:
        day = desk.today - timedelta(days=20)
    tech.send("/concerns/1/programming", "/concerns/1/programming", programming(day))
    with shop.writing(actor_of(shop, "tech")) as desk:
        car = a_vehicle(vin=VIN, year=1989)
        visit = concerns.open_concern(desk, a_concern(vehicle=car, ro_number="2300")).id
    page = tech.see(f"/concerns/{visit}").text
    assert "still in it by our records" in page
    tech.send(f"/concerns/{visit}", f"/concerns/{visit}/calibrations")
    page = tech.see(f"/concerns/{visit}").text
    assert "by our records, not confirmed" in page
    assert "still in it by our records" not in page


def test_a_voltage_that_was_read_goes_into_a_new_concern_and_an_open_one(tech: Visitor) -> None:
    def press(page: Page, form: str, path: str, **typed: str) -> Page:
        fields = page.form(form).fields | {name: [said] for name, said in typed.items()}
        answer = tech.client.post(path, data=fields)
        assert answer.status_code == 200, answer.text
        return Page(answer.text)

    report = "Module: PCM\nCal ID: NV10A\nBattery voltage 12.1 V"
    seen = press(tech.see("/concerns/new"), "/concerns/new", "/concerns/new/read", read_text=report)
    filled = press(seen, "/concerns/new", "/concerns/new/fill", take_all="sure")
    assert "12.1" in "".join(filled.form("/concerns/new").fields["accepted"])
    said = {"ro_number": "2400", "complaint": "long crank"}
    opened = press(filled, "/concerns/new", "/concerns/new", **said)
    assert "12.1 V read from the vehicle" in " ".join(opened.text.split())

    path = "/concerns/3/read"
    seen = press(tech.see(path), f"{path}/take", path, read_text="Battery voltage 13.9 V\nP0171 pending")
    taken = press(seen, f"{path}/take", f"{path}/take", take_all="sure")
    assert "1 code and 1 voltage saved" in taken.text
    shown = " ".join(tech.see("/concerns/3").text.split())
    assert "13.9 V" in shown
    assert "12.1 V" not in shown


def test_a_module_typed_in_small_letters_is_the_one_whose_id_was_read() -> None:
    both = (SeenRow("calibration_id", "NV10A", "PCM"), SeenRow("cvn", "1A2B3C4D", "pcm"))
    assert sure(both, OF_A_MODULE) == both
    assert sure(both[1:], OF_A_MODULE) == ()
