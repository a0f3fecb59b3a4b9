"""The pages of imports: a dead import is told from a working one, doubled columns are told apart."""

from __future__ import annotations

import pytest

from kb.desk import imports
from kb.desk.context import RunningShop
from tests.conftest import StandingClock
from tests.kb.desk.importing import FailsOnce, history, take
from tests.web.conftest import SignIn


def test_an_import_that_died_is_not_shown_as_one_that_runs(
    bay: RunningShop, signed_in: SignIn, clock: StandingClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as patched:
        patched.setattr(imports, "count_batch", FailsOnce(imports.count_batch, 1))
        patched.setattr(imports, "stop_job", lambda *_: None)
        with pytest.raises(OSError, match="no space"):
            take(bay, "history", history({"ro_number": "900"}))
    lead = signed_in("lead")
    assert "data-watch" in lead.see("/imports/1").html
    assert "not moving" not in lead.see("/imports").text
    clock.move(minutes=6)
    page = lead.see("/imports/1")
    assert "data-watch" not in page.html
    assert "what was taken is not taken twice" in page.text
    assert "/imports" in page.links
    assert lead.client.get("/imports/1?part=state").json()["state"] == "not_moving"
    assert "not moving" in lead.see("/imports").text
