"""A concern that no update is about: three checks fit; what they say counts at closing, and if one comes."""

from __future__ import annotations

import pytest
from starlette.testclient import TestClient

from kb.desk.context import RunningShop
from tests.api.asking import asks
from tests.api.notes.test_speaks_against_http import BULLETIN, CONCERN
from tests.conftest import StandingClock
from tests.factories import headers_of

pytestmark = pytest.mark.both_databases


def test_what_is_found_without_an_update_counts_later(
    client: TestClient, shop: RunningShop, clock: StandingClock
) -> None:
    lead, tech = headers_of(shop, "lead"), headers_of(shop, "tech")
    ask = asks(client)

    def counted(check: str) -> dict[str, int]:
        return {one["title"]: one["count"] for one in ask("GET", f"/evidence/{check}", lead)["groups"]}

    lean = CONCERN | {"codes": "P0171", "codes_scanned": "stored"}
    first = ask("POST", "/concerns", tech, lean, 201)["id"]
    fits = {one["key"]: one["fits"] for one in ask("GET", f"/concerns/{first}", tech)["findings"]}
    assert len(fits) == 3
    assert {"fuel_trim", "smoke_test"} <= fits.keys()
    assert fits["smoke_test"].startswith("engine, P0171")
    before = ask("GET", f"/concerns/{first}/advice", tech)
    assert before["candidates"] == []

    ask("PUT", f"/concerns/{first}/findings/smoke_test", tech, {"result": "yes"})
    # found by search, not among the three
    ask("PUT", f"/concerns/{first}/findings/corrosion", tech, {"result": "no"})
    shown = ask("GET", f"/concerns/{first}", tech)["findings"]
    assert {one["key"]: one["result"] for one in shown if one["result"]} == {
        "smoke_test": "yes",
        "corrosion": "no",
    }
    assert sum(bool(one["fits"]) for one in shown) == 3
    assert counted("smoke_test") == {}, "an open concern tells nothing yet"
    ending = {"ending": "other_cause", "other_cause": "Split intake hose"}
    clock.move(hours=1)
    ask("POST", f"/concerns/{first}/close", tech, ending)
    assert counted("smoke_test") == {"LEAKS, not cured": 1}
    assert counted("corrosion") == {"DRY, not cured": 1}

    second = ask("POST", "/concerns", tech, lean | {"ro_number": "2090"}, 201)["id"]
    ask("PUT", f"/concerns/{second}/findings/smoke_test", tech, {"result": "yes"})
    ask("POST", "/notes", lead, BULLETIN | {"speaks_against": []}, 201)
    [candidate] = ask("GET", f"/concerns/{second}/advice", tech)["candidates"]
    pushes = {one["key"]: one for one in candidate["evidence"]}
    assert pushes["smoke_test"]["log_odds"] < 0, "it weighs at once"
    assert pushes["smoke_test"]["counts"] == {"yes_if_cured": 0, "cured": 0, "yes_if_not": 1, "not_cured": 1}
    assert candidate["starting_counts"] == [0, 0], "no update was ever tried"
    assert not any(one["fits"] for one in ask("GET", f"/concerns/{second}", tech)["findings"])
