"""The pages of a used module, a make's sheet, and an ending said instead of what was advised."""

from __future__ import annotations

from kb.desk.bay.concern import concerns, facts
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.programming import prep
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from tests.factories import MAKE, a_concern, actor_of, an_update
from tests.web.browsing import Visitor

USED = "/concerns/1"


def replaced(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        notes.write_note(desk, an_update())
        concerns.open_concern(desk, a_concern())
        facts.put_gate(desk, 1, "module_original", "fault")


def test_the_stop_asks_which_one_it_is_and_leads_to_its_list(sqlite_shop: RunningShop) -> None:
    replaced(sqlite_shop)
    tech = Visitor(sqlite_shop).sign_in("tech")
    assert "Say whether the module is new, remanufactured or used" in tech.see(f"{USED}/prep").text
    said = {"gate": "module_original", "result": "fault", "value": "used", "back": "prep"}
    listed = tech.send(USED, f"{USED}/gates", said)
    assert "It may be locked to its donor" in listed.text
    assert "go on as" not in listed.text
    with sqlite_shop.writing(actor_of(sqlite_shop, "tech")) as desk:
        for key in ("old-saved", "part-fits", "may-be-locked", "donor", "keys"):
            prep.tick(desk, 1, f"replaced-{key}", "as the procedure says, page 3")
    signed = tech.send(f"{USED}/prep", f"{USED}/prep/sign", {"place": "replaced module"})
    assert "go on as" in signed.text
    on = tech.send(f"{USED}/prep", f"{USED}/prep/replaced", {})
    assert "used module: its list is settled" in on.text
    assert "Stop: The module was replaced" not in on.text


def test_a_lead_writes_a_sheet_that_prep_shows_and_a_stale_one_comes_back(
    sqlite_shop: RunningShop,
) -> None:
    replaced(sqlite_shop)
    lead, page = Visitor(sqlite_shop).sign_in("lead"), "/shop/when-it-fails"
    typed = {"make": MAKE, "support_line": "555-0142", "latest_start": "3:30 PM", "module_price": "$812"}
    lead.send(f"{page}?make={MAKE}", page, typed | {"version": "0"})
    assert "$812" in lead.see(f"{USED}/prep").text
    again = typed | {"version": "7", "tow": "Harbor"}
    stale = lead.send(f"{page}?make={MAKE}", page, again, expect=409)
    assert "Somebody saved the sheet" in stale.text
    assert stale.form(page).fields["tow"] == ["Harbor"]
    noon = typed | {"version": "1", "latest_start": "noon"}
    wrong = lead.send(f"{page}?make={MAKE}", page, noon, expect=422)
    assert "such as 3:30 PM" in wrong.text
    assert "Save the sheet" not in Visitor(sqlite_shop).sign_in("tech").see(page).text


def test_the_dealer_instead_of_what_was_advised_closes_it_with_the_decision(sqlite_shop: RunningShop) -> None:
    replaced(sqlite_shop)
    tech = Visitor(sqlite_shop).sign_in("tech")
    tech.send(USED, f"{USED}/decide", {"did": "sent_to_dealer", "why": "dealer does it free"})
    with sqlite_shop.reading(actor_of(sqlite_shop, "tech")) as desk:
        file = read_concern(desk, 1)
    assert (file.state, file.ending, [one.did for one in file.decisions]) == (
        "closed",
        "sent_to_dealer",
        ["sent_to_dealer"],
    )


def test_closing_it_as_sent_to_the_dealer_asks_why_and_keeps_the_tap(sqlite_shop: RunningShop) -> None:
    replaced(sqlite_shop)
    tech = Visitor(sqlite_shop).sign_in("tech")
    asked = tech.send(f"{USED}/close", f"{USED}/close", {"ending": "sent_to_dealer"}, expect=422)
    assert "Say why it goes to the dealer: one tap" in asked.text
    tech.send(f"{USED}/close", f"{USED}/close", {"ending": "sent_to_dealer", "why": "no tool for it"})
    with sqlite_shop.reading(actor_of(sqlite_shop, "tech")) as desk:
        file = read_concern(desk, 1)
    assert [(one.did, one.why_not) for one in file.decisions] == [("sent_to_dealer", "no tool for it")]
    assert file.ending == "sent_to_dealer"
