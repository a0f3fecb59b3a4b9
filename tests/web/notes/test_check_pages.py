"""The lead's pages of a check: counts beside the guess, used with a button; unit and limits on the form."""

from __future__ import annotations

from kb.desk.bay.advice import checks_on_file
from kb.desk.context import RunningShop
from kb.nouns.bay.measures import PrintedLimit
from tests.conftest import StandingClock
from tests.factories import actor_of
from tests.kb.desk.notes.counted_values import measured_shop
from tests.web.conftest import SignIn


def test_counts_stand_beside_the_guess_and_become_it(
    sqlite_shop: RunningShop, clock: StandingClock, signed_in: SignIn
) -> None:
    measured_shop(sqlite_shop, clock)
    lead = signed_in("lead")
    listed = lead.see("/shop/checks").text
    assert "1 of 12" in listed
    assert "12 of 12" in listed
    drop = _id_of(sqlite_shop, "voltage_drop")
    page = lead.see(f"/shop/checks/{drop}/counts")
    assert "The guess would be 1.2 and 9.6 in 10, worth 1 vehicle instead of 4" in page.text
    assert "A suggestion from what was here, no specification" in page.text
    saved = lead.send(f"/shop/checks/{drop}/counts", f"/shop/checks/{drop}/counts")
    assert "its guess is what was counted here" in saved.text
    smoke = _id_of(sqlite_shop, "smoke_test")
    few = lead.see(f"/shop/checks/{smoke}/counts")
    assert "0 cured and 0 not cured have counted, 10 of each are needed" in few.text
    assert not [form for form in few.forms if form.action.endswith("/counts")]
    assert "Cannot tell yet" in lead.see("/shop/checks/deciding").text


def test_unit_limits_and_what_notes_print_are_set_on_the_form_and_kept(
    bay: RunningShop, signed_in: SignIn
) -> None:
    lead, pressure = signed_in("lead"), _id_of(bay, "fuel_pressure")
    address = f"/shop/checks/{pressure}"
    refused = lead.send(address, address, {"printed": "NV-24-101 45"}, expect=422)
    assert (
        "“NV-24-101 45” is not a note and its limit. Write it as TRN-19-044A: 45, or 45 to 55."
        in refused.text
    )
    assert "There is no note NV-1." in lead.send(address, address, {"printed": "NV-1: 45"}, expect=422).text
    wrong = lead.send(address, address, {"yes_when": "within", "printed": "NV-24-101: 45"}, expect=422)
    assert "within needs two numbers, the lower first" in wrong.text
    lead.send(address, address, {"limit": "40", "printed": "NV-24-101: 45"})
    with bay.reading(actor_of(bay, "lead")) as desk:
        measure = checks_on_file.by_key(desk)["fuel_pressure"].content.measure
    assert measure is not None
    assert (measure.unit, measure.limit, measure.printed) == ("psi", 40.0, (PrintedLimit(1, 45.0),))
    assert lead.answer is not None
    lead.see(address)
    assert "NV-24-101: 45</textarea>" in lead.answer.text
    assert "Limit: under 45 psi, as NV-24-101 prints it." in lead.see("/concerns/1").text
    lead.send(address, address, {"unit": ""})
    with bay.reading(actor_of(bay, "lead")) as desk:
        assert checks_on_file.by_key(desk)["fuel_pressure"].content.measure is None


def _id_of(shop: RunningShop, key: str) -> int:
    with shop.reading(actor_of(shop, "lead")) as desk:
        return checks_on_file.by_key(desk)[key].id
