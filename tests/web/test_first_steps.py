"""A new shop's first steps through the pages: ticked by what is on file, and three screens to an answer."""

from __future__ import annotations

from kb.desk.context import RunningShop
from tests.factories import actor_of
from tests.kb.intake.reading import FIXTURES
from tests.web.browsing import Page
from tests.web.conftest import SignIn
from tests.web.test_every_page import faults

HOME = "/concerns"


def ticked(page: Page) -> int:
    return page.html.count("<s>")


def test_three_screens_lead_from_an_empty_shop_to_an_answer(
    sqlite_shop: RunningShop, signed_in: SignIn
) -> None:
    owner = signed_in("owner")
    home = owner.see(HOME)
    assert "First steps" in home.text
    assert faults(home) == []
    file = ("recalls.csv", (FIXTURES / "recalls_on_cars.csv").read_bytes(), "text/csv")
    fields = {"format": "recall-communications", "makes": "Kia, Volvo", "do": "bring_in"}
    taken = owner.client.post("/imports", data=home.form("/imports").fields | fields, files={"file": file})
    assert taken.status_code == 200
    assert "of other makes" in taken.text
    assert faults(Page(taken.text)) == []
    found = owner.see("/search?q=2014+kia+optima+fire+engine+compartment")
    assert "OPTIMA" in found.text.upper()
    assert ticked(owner.see(HOME)) == ticked(home) + 1


def test_steps_are_ticked_by_what_is_on_file(sqlite_shop: RunningShop, signed_in: SignIn) -> None:
    owner = signed_in("owner")
    before = ticked(owner.see(HOME))
    refused = owner.send(HOME, "/first-steps/money", {"labor_rate": "lots", "cured_in_10": "4"}, expect=422)
    assert "lots" in refused.html
    assert faults(refused) == []
    kept = owner.send(HOME, "/first-steps/money", {"labor_rate": "165", "cured_in_10": ""})
    assert ticked(kept) == before + 1
    bulletin = {"kind": "bulletin", "title": "Surge at light load", "number": "NV-9", "state": "published"}
    owner.send("/notes/new/bulletin", "/notes/new/bulletin", bulletin)
    assert ticked(owner.see(HOME)) == before + 2


def test_a_wrong_format_keeps_the_makes_typed_and_says_that_the_file_is_to_be_chosen_again(
    sqlite_shop: RunningShop, signed_in: SignIn
) -> None:
    owner = signed_in("owner")
    file = ("recalls.csv", (FIXTURES / "recalls_on_cars.csv").read_bytes(), "text/csv")
    typed = {"format": "service-bulletins", "makes": "Kia, Volvo", "also": "tires", "do": "bring_in"}
    refused = owner.send(HOME, "/imports", typed, file=file, expect=422)
    form = refused.form("/imports").fields
    assert (form["makes"], form["also"]) == (["Kia, Volvo"], ["tires"])
    assert "This one reads as recall communications" in refused.text
    assert "but the file: choose it again" in refused.text
    assert faults(refused) == []


def test_the_time_zone_is_shown_and_chosen_in_the_first_step(
    sqlite_shop: RunningShop, signed_in: SignIn
) -> None:
    owner = signed_in("owner")
    home = owner.see(HOME)
    assert home.form("/first-steps/money").fields["timezone"] == ["America/New_York"]
    menu = home.html.split('id="timezone"')[1].split("</select>")[0]
    zones = [part.split("<")[0].strip() for part in menu.split(">")]
    assert zones.index("Pacific/Honolulu") < zones.index("Africa/Cairo") < zones.index("Europe/Paris")
    kept = owner.send(HOME, "/first-steps/money", {"labor_rate": "165", "timezone": "America/Denver"})
    assert "Kept." in kept.text
    assert sqlite_shop.facts.timezone == "America/Denver"
    wrong = {"labor_rate": "165", "timezone": "Mars/Base"}
    assert "Name a time zone" in owner.send(HOME, "/first-steps/money", wrong, expect=422).text
    lead = signed_in("lead")
    assert "Days are those of America/Denver" in lead.see(HOME).text


def test_the_list_is_put_away_and_had_back(sqlite_shop: RunningShop, signed_in: SignIn) -> None:
    owner, tech = signed_in("owner"), signed_in("tech")
    assert "First steps" not in tech.see(HOME).text
    assert "First steps" not in owner.send(HOME, "/first-steps/put-away").text.replace(
        "First steps brings", ""
    )
    assert "First steps" in owner.send("/shop", "/first-steps/bring-back").text
    fields = {"form_token": tech.see("/shop").html.split('name="form_token" value="')[1].split('"')[0]}
    assert tech.client.post("/first-steps/put-away", data=fields).status_code == 403
    assert actor_of(sqlite_shop, "tech").role == "tech"
