"""An update that stops curing raises its alarm; an answer to it needs words, and starts its watch anew."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from starlette.testclient import TestClient

from kb.desk.context import RunningShop
from tests.api.review.test_reports import bring_in, row
from tests.conftest import StandingClock
from tests.factories import headers_of


def reflashed(number: int, update: str, on: date, cured: bool) -> dict[str, str]:
    heard = {"last_seen_on": str(on + timedelta(91))} if cured else {"returned_on": str(on + timedelta(9))}
    return row(number, update=update, opened_on=str(on), reflashed_on=str(on), **heard)


def history(today: date) -> list[dict[str, str]]:
    """Forty of one update that cures 7 in 8; twenty of another that does so too, and then fails ten times."""
    begin = today - timedelta(600)
    steady = [reflashed(n, "NV-24-101", begin + timedelta(10 * n), n % 8 > 0) for n in range(40)]
    first = [reflashed(100 + n, "NV-25-7", begin + timedelta(15 * n), n % 8 > 0) for n in range(20)]
    gone_bad = [reflashed(200 + n, "NV-25-7", today - timedelta(150 - 5 * n), False) for n in range(10)]
    return steady + first + gone_bad


def alarm_of(
    client: TestClient, headers: dict[str, str], which: str = "alarm", **asked: str
) -> dict[str, Any] | None:
    report = client.get("/api/reports/reflashes", params=asked, headers=headers).json()
    told = {one["update"]: one[which] for one in report["rows"]}
    assert told["NV-24-101"] is None
    found: dict[str, Any] | None = told["NV-25-7"]
    return found


def test_an_alarm_stays_until_somebody_says_what_is_done_about_it(
    client: TestClient, shop: RunningShop, clock: StandingClock
) -> None:
    owner, tech = headers_of(shop, "owner"), headers_of(shop, "tech")
    with shop.reading() as desk:
        today = desk.today
    bring_in(client, owner, history(today))
    raised = alarm_of(client, owner)
    assert raised is not None
    assert today - timedelta(150) < date.fromisoformat(raised["since"]) < today
    assert alarm_of(client, owner, as_of=str(today - timedelta(160))) is None

    report = client.get("/api/reports/reflashes", headers=owner).json()
    path = next(f"/api/reports/reflashes/{one['note']}/alarm" for one in report["rows"] if one["alarm"])
    for body in ({"remark": " "}, {"remark": "x" * 501}):
        refused = client.post(path, json=body, headers=owner)
        assert refused.status_code == 422
        assert "remark" in refused.json()["error"]["fields"]
    assert client.post(path, json={"remark": "smoke test first"}, headers=tech).status_code == 403
    assert (
        client.post("/api/reports/reflashes/999/alarm", json={"remark": "x"}, headers=owner).status_code
        == 404
    )
    assert alarm_of(client, owner) is not None

    answered = client.post(path, json={"remark": "smoke test first from now on"}, headers=owner)
    assert [(one["by"], one["remark"]) for one in answered.json()] == [
        ("owner", "smoke test first from now on")
    ]
    assert alarm_of(client, owner) is None
    assert alarm_of(client, owner, as_of=str(today - timedelta(1))) == raised
    clock.move(days=30)
    assert alarm_of(client, owner) is None


def test_each_of_the_two_alarms_is_answered_for_itself(client: TestClient, shop: RunningShop) -> None:
    owner = headers_of(shop, "owner")
    with shop.reading() as desk:
        today = desk.today
    bring_in(client, owner, history(today))
    fallen = alarm_of(client, owner, "worse_than_it_was")
    assert fallen is not None
    assert fallen["sentence"].startswith("Worse than it was: of ")
    report = client.get("/api/reports/reflashes", headers=owner).json()
    path = next(f"/api/reports/reflashes/{one['note']}/alarm" for one in report["rows"] if one["alarm"])
    wrong = client.post(path, json={"remark": "asked", "which": "luck"}, headers=owner)
    assert wrong.status_code == 422
    answered = client.post(path, json={"remark": "asked the maker", "which": "past"}, headers=owner)
    assert [one["which"] for one in answered.json()] == ["past"]
    assert alarm_of(client, owner, "worse_than_it_was") is None
    assert alarm_of(client, owner) is not None
    yesterday = str(today - timedelta(1))
    assert alarm_of(client, owner, "worse_than_it_was", as_of=yesterday) == fallen
