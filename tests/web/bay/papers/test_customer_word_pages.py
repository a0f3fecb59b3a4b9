"""The customer's word through the pages: the tablet turned around, the phone, a message."""

from __future__ import annotations

from kb.desk.bay.concern import concerns
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.handover import waiting
from kb.desk.context import RunningShop
from kb.nouns.bay.waiting import WaitingFor
from tests.factories import a_concern, actor_of
from tests.web.browsing import Page, Visitor
from tests.web.conftest import SignIn

MONEY = "/concerns/1/authorization"
ASKED = {"proposed": "Update the PCM", "amount": "180", "if_not_cured": "credited", "programs": "yes"}


def ask(visitor: Visitor, way: str, expect: int = 200, **other: str) -> Page:
    """On from the page of the customer's OK, by its button of that way."""
    fields = visitor.see(MONEY).form(MONEY).fields | ASKED | {"way": way} | other
    visitor.answer = visitor.client.post("/concerns/1/ask", data=fields)
    assert visitor.answer.status_code == expect
    return Page(visitor.answer.text)


def test_the_turned_tablet_shows_nothing_of_anybody_else_and_takes_the_answer(
    bay: RunningShop, signed_in: SignIn
) -> None:
    with bay.writing(actor_of(bay, "tech")) as desk:
        concerns.open_concern(desk, a_concern(ro_number="99", complaint="somebody else's car"))
    tech = signed_in("tech")
    page = ask(tech, "tablet")
    assert "may not cure it" in page.text
    assert "A control module can fail" in page.text
    assert "credited to you" in page.text
    assert set(page.links) - {"#main"} == {MONEY}
    address = str(tech.answer.url.copy_with(scheme="", host=""))
    page = tech.send(address, MONEY, {"who": " "}, expect=422)
    assert set(page.links) - {"#main"} == {MONEY}
    assert "may not cure it" in page.text
    page = tech.send(address, MONEY, {"who": "Ines Tovar"})
    assert "Thank you, Ines Tovar" in page.text
    assert set(page.links) - {"#main"} == {"/concerns/1"}
    with bay.reading(actor_of(bay, "tech")) as desk:
        (one,) = read_concern(desk, 1).authorizations
    assert (one.amount_minor, one.who, one.how, one.declined) == (
        18_000,
        "Ines Tovar",
        "on the tablet",
        False,
    )
    assert (one.told_may_not_cure, one.told_module_can_fail, one.proposed) == (True, True, "Update the PCM")


def test_a_decline_leaves_the_limit_and_the_number_called_can_be_deleted(
    bay: RunningShop, signed_in: SignIn
) -> None:
    tech = signed_in("tech")
    with bay.writing(actor_of(bay, "tech")) as desk:
        waiting.wait_for(desk, 1, WaitingFor.CUSTOMER_OK)
    page = ask(tech, "phone")
    assert "differs by state" in page.text
    assert page.html.count("<li>") >= 3
    by_phone = {**ASKED, "way": "phone", "how": "by phone", "who": "Mr. Tovar", "number_called": "555 0100"}
    tech.send(MONEY, MONEY, by_phone)
    page = tech.send(MONEY, MONEY, by_phone | {"amount": "400", "declined": "yes"})
    assert "Authorized $180" in page.text
    assert "declined $400" in page.text
    with bay.reading(actor_of(bay, "tech")) as desk:
        assert read_concern(desk, 1).waiting is None
    said = tech.see("/concerns/1/print").text
    assert "agreed, up to $180: update the PCM; Mr. Tovar, by phone, 555 0100" in said
    assert "declined, up to $400" in said
    assert "555 0100" in tech.see("/concerns/1").text
    tech.send("/concerns/1", "/concerns/1/forget-phone", {})
    assert "555 0100" not in tech.see("/concerns/1/print").text
    assert "555 0100" not in tech.see("/concerns/1").text


def test_a_text_to_send_is_copied_and_then_it_waits(bay: RunningShop, signed_in: SignIn) -> None:
    tech = signed_in("tech")
    page = ask(tech, "message")
    assert "Please answer YES with your name, or NO." in page.html
    assert "customer_ok" in page.html
    bare = ask(tech, "phone", amount="", expect=422)
    assert "Update the PCM" in bare.html


def test_nothing_is_agreed_to_before_somebody_chose_what_holds_if_it_is_not_cured(
    bay: RunningShop, signed_in: SignIn
) -> None:
    tech = signed_in("tech")
    assert "if_not_cured" not in tech.see(MONEY).form(MONEY).fields
    for way in ("tablet", "phone", "message"):
        assert "Choose what holds if it is not cured" in ask(tech, way, expect=422, if_not_cured="").text
    said = {"amount": "180", "who": "Ines Tovar", "how": "phone"}
    assert "Choose what holds" in tech.send(MONEY, MONEY, said, expect=422).text
    assert "Written down: declined" in tech.send(MONEY, MONEY, said | {"declined": "yes"}).text
    assert "OK written down" in tech.send(MONEY, MONEY, said | {"if_not_cured": "no_charge"}).text
