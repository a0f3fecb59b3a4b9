"""The shop's counts beside a check's guesses, used as its guess, and the limit that its values suggest."""

from __future__ import annotations

import pytest
from starlette.testclient import TestClient

from kb.desk.context import RunningShop
from tests.api.asking import asks
from tests.conftest import StandingClock
from tests.factories import headers_of
from tests.kb.desk.notes.counted_values import measured_shop

pytestmark = pytest.mark.both_databases


def test_counts_are_shown_tried_and_used(client: TestClient, shop: RunningShop, clock: StandingClock) -> None:
    measured_shop(shop, clock)
    lead, tech = headers_of(shop, "lead"), headers_of(shop, "tech")
    ask = asks(client)

    checks = {one["key"]: one for one in ask("GET", "/checks", tech)}
    drop, smoke = checks["voltage_drop"]["id"], checks["smoke_test"]["id"]
    found = ask("GET", f"/checks/{drop}/counts", tech)
    assert found["counts"] == {"yes_if_cured": 1, "cured": 12, "yes_if_not": 12, "not_cured": 12}
    # guesses 1 and 3 of 10 at weight 4: (4 * 1.5 / 11 + 1) / 16 and (4 * 3.5 / 11 + 12) / 16, in 10
    assert found["believed"]["yes_in_10_cured"] == pytest.approx(10 * (6 / 11 + 1) / 16)
    assert found["believed"]["yes_in_10_not"] == pytest.approx(10 * (14 / 11 + 12) / 16)
    used = found["if_used"]
    # 10 * 1.5 / 13 and 10 * 12.5 / 13
    assert used["guess"] == {"yes_in_10_cured": 1.2, "yes_in_10_not": 9.6, "weight": 1.0}
    assert used["tried"] >= 1
    assert found["limit"] == (
        "The shop's own 24 values with a known cause part best at 0.35 V: over it an update cured "
        "0 of 12, up to it 12 of 12. A suggestion from what was here, no specification: the manufacturer's "
        "limit rules."
    )
    few = ask("GET", f"/checks/{smoke}/counts", tech)
    assert few["if_used"] is None
    assert few["few"] == "Cannot tell yet: 0 cured and 0 not cured have counted, 10 of each are needed."
    ask("POST", f"/checks/{smoke}/use-counts", lead, {"version": few["version"]}, 422)

    ask("POST", f"/checks/{drop}/use-counts", tech, {"version": found["version"]}, 403)
    saved = ask("POST", f"/checks/{drop}/use-counts", lead, {"version": found["version"]})
    content = saved["content"]
    assert (content["yes_in_10_cured"], content["yes_in_10_not"], content["weight"]) == (1.2, 9.6, 1.0)
    assert content["source_line"].startswith("the shop's own counts on ")
    assert content["measure"] == checks["voltage_drop"]["content"]["measure"]
    after = ask("GET", f"/checks/{drop}/counts", tech)
    assert after["believed"] == used["believed"]
    ask("POST", f"/checks/{drop}/use-counts", lead, {"version": found["version"]}, 409)

    decides = {one["key"]: one for one in ask("GET", "/checks/deciding", tech)}
    assert decides["voltage_drop"]["concerns"] == 1, "one concern is open, none was decided by its advice"
    assert decides["voltage_drop"]["is_idle"] is None
    assert decides["voltage_drop"]["said"] == "cannot tell yet (1 concern)"
