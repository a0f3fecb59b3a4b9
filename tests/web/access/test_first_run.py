"""The first page of a new shop, and where its answer stands afterwards."""

from __future__ import annotations

from starlette.testclient import TestClient

from kb.desk.access import sign_ins
from kb.desk.context import CONSOLE, RunningShop
from tests.factories import headers_of
from tests.web.browsing import PASSWORD, Visitor

KEY = "prior_cured_in_10"


def test_the_owner_answers_once_what_a_bulletin_alone_cures_and_may_take_it_back(
    anybody: Visitor, sqlite_shop: RunningShop, sqlite_client: TestClient
) -> None:
    with sqlite_shop.writing(CONSOLE) as desk:
        typed = {"code": sign_ins.issue_set_up_code(desk), "name": "odile", "password": PASSWORD}
    refused = anybody.send("/first-run", "/first-run", typed | {KEY: "most"}, expect=422)
    assert "how many cured: enter a number" in refused.text
    assert "still here, but the password: type it again" in refused.text
    assert refused.form("/first-run").fields[KEY] == ["most"]
    anybody.send("/first-run", "/first-run", typed | {KEY: "2"})
    assert "2 of 10" in anybody.see("/shop/settings").text
    headers = headers_of(sqlite_shop, "odile")

    def setting() -> dict[str, object]:
        some = sqlite_client.get("/api/settings", headers=headers).json()
        return next(one for one in some if one["key"] == KEY)

    assert (setting()["value"], setting()["author"]) == (2.0, "odile")
    page = anybody.send("/shop/settings", f"/shop/settings/{KEY}", {"value": ""})
    assert "not sure: a new update starts at 5 in 10" in page.text
    assert setting()["value"] is None
    assert "not sure" in str(setting()["empty"])
    body = {"value": 3, "source_line": "of the last ten"}
    assert sqlite_client.put(f"/api/settings/{KEY}", headers=headers, json=body).json()["value"] == 3
    answer = sqlite_client.put(f"/api/settings/{KEY}", headers=headers, json={"value": None})
    assert answer.json()["value"] is None
    assert (
        sqlite_client.put("/api/settings/window_days", headers=headers, json={"value": None}).status_code
        == 422
    )
