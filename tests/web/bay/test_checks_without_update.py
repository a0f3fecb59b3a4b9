"""A concern that no update is about, on its page: three checks to tap, the rest by a search field."""

from __future__ import annotations

from kb.desk.bay.concern import concerns
from kb.desk.context import RunningShop
from kb.nouns.concerns import CodesScanned, ReportedCode
from tests.factories import a_concern, actor_of
from tests.web.conftest import SignIn


def test_three_checks_can_be_tapped_and_others_are_found_by_a_word(
    sqlite_shop: RunningShop, signed_in: SignIn
) -> None:
    with sqlite_shop.writing(actor_of(sqlite_shop, "tech")) as desk:
        codes = (ReportedCode("P0741"),)
        draft = a_concern(complaint="shudders at 45", codes=codes, codes_scanned=CodesScanned.STORED)
        concerns.open_concern(desk, draft)
    tech = signed_in("tech")
    page = tech.see("/concerns/1")
    offered = {form.fields["check"][0] for form in page.forms if "check" in form.fields and form.buttons}
    offered.discard("")
    assert len(offered) == 3
    assert {"converter_slip", "shift_adaptives"} <= offered
    assert "transmission, P0741" in page.text
    assert "What is found counts when the concern is closed, and at once if an update comes." in page.text

    sent = {"check": "converter_slip", "result": "number", "at": "value-converter_slip", "number": "180"}
    shown = tech.send("/concerns/1", "/concerns/1/findings", sent)
    assert "180 rpm" in shown.text

    found = tech.see("/concerns/1?check=fluid")
    assert "Is the fluid low, burnt or the wrong type?" in found.text
    assert "No other check has these words." in tech.see("/concerns/1?check=zzz").text
