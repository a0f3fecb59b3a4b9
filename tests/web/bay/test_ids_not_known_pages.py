"""An update whose calibration IDs nobody here knows, on the pages of a technician and of a lead."""

from __future__ import annotations

from kb.desk.bay.concern import concerns, facts
from kb.desk.context import RunningShop
from kb.nouns.concerns import ConcernDraft
from kb.nouns.vehicles import CalibrationReading, CalibrationSource, LookUp, Vehicle
from tests.factories import a_concern, actor_of
from tests.kb.desk.imports.importing import take
from tests.kb.intake.reading import FIXTURES
from tests.web.browsing import Visitor

ROGUE = ConcernDraft("2087", "backup camera blank in reverse", vehicle=Vehicle("Nissan", "Rogue", 2024))


def test_the_look_up_by_vin_is_the_big_button_and_open_leads_to_the_dealer(sqlite_shop: RunningShop) -> None:
    take(sqlite_shop, "recall-communications", (FIXTURES / "software_recall.csv").read_bytes())
    with sqlite_shop.writing(actor_of(sqlite_shop, "tech")) as desk:
        concern = f"/concerns/{concerns.open_concern(desk, ROGUE).id}"
    tech = Visitor(sqlite_shop).sign_in("tech")
    page = tech.see(concern)
    assert "IDs not known: look 24V748 up by VIN" in page.text
    assert "Nothing on file" not in page.text
    for path in ("/prep", "/programming", "/print"):
        tech.see(concern + path)
    page = tech.send(concern, f"{concern}/recalls", {"number": "24V748", "result": "open"})
    assert "Close it as sent to the dealer" in page.text


def test_a_newer_id_that_no_note_installs_is_said_and_a_lead_can_begin_its_bulletin(
    sqlite_shop: RunningShop,
) -> None:
    with sqlite_shop.writing(actor_of(sqlite_shop, "tech")) as desk:
        concern = concerns.open_concern(desk, a_concern()).id
        facts.put_calibration(desk, concern, CalibrationReading("PCM", "NV10A", CalibrationSource.READ))
        facts.put_look_up(desk, concern, LookUp("PCM", desk.today, "tech", newest_id="NV77Z"))
    said = "PCM: NV77Z is newer, and no note here installs it. Nobody here knows what it cures"
    tech = Visitor(sqlite_shop).sign_in("tech").see(f"/concerns/{concern}")
    assert said in tech.text
    assert not [link for link in tech.links if link.startswith("/notes/new/bulletin?")]
    lead = Visitor(sqlite_shop).sign_in("lead")
    begun = next(link for link in lead.see(f"/concerns/{concern}").links if "/notes/new/bulletin?" in link)
    fields = lead.see(begun).form("/notes/new/bulletin").fields
    assert fields["steps"] == ["PCM: NV10A -> NV77Z"]
    assert "Norvane" in fields["coverage"][0]
