"""Sent out through HTTP: to a mobile programmer, to the dealer for money and for free, up to the report."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from starlette.testclient import TestClient

from kb.desk.bay.concern import concerns
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from tests.applications import interface_over
from tests.factories import a_concern, a_vehicle, actor_of, an_update, headers_of

MOBILE = {"way": "mobile_programmer", "sent_to": "Mobile programming", "module": "PCM"}


class Interface:
    """The interface as one person calls it."""

    def __init__(self, shop: RunningShop, name: str) -> None:
        self.client, self.headers = TestClient(interface_over(shop)), headers_of(shop, name)

    def __call__(self, method: str, path: str, body: Any = None, expect: int = 200) -> Any:
        answer = self.client.request(method, f"/api{path}", json=body, headers=self.headers)
        assert answer.status_code == expect, answer.text
        return answer.json() if answer.content else None


@pytest.fixture
def update(shop: RunningShop) -> int:
    with shop.writing(actor_of(shop, "lead")) as desk:
        return notes.write_note(desk, an_update()).id


def opened(shop: RunningShop, number: str) -> int:
    with shop.writing(actor_of(shop, "tech")) as desk:
        return concerns.open_concern(desk, a_concern(ro_number=number, vehicle=a_vehicle())).id


def today(shop: RunningShop) -> date:
    with shop.reading(actor_of(shop, "tech")) as desk:
        return desk.today


def back(shop: RunningShop, update: int, **more: Any) -> dict[str, Any]:
    module = {
        "module": "pcm",
        "result": "completed",
        "update_id": update,
        "calibration_before": "NV10A",
        "calibration_after": "NV10B",
        "calibration_source": "read",
    }
    told = {"result": "programmed", "done_on": today(shop).isoformat(), "modules": [module]}
    return told | {"invoice": 145.5, "invoice_number": "3310", "duplicated_before": "yes", **more}


@pytest.mark.both_databases
def test_a_sublet_stays_ours_from_the_price_to_the_comeback_under_its_way(
    shop: RunningShop, update: int
) -> None:
    tech, owner = Interface(shop, "tech"), Interface(shop, "owner")
    price = {"make": "norvane", "way": "mobile_programmer", "price": 145, "days": 2}
    day = today(shop)
    for wrong in ({"way": "here"}, {"asked_on": str(day + timedelta(1))}, {"make": " "}):
        owner("PUT", "/way-prices", price | {"asked_on": str(day)} | wrong, expect=422)
    tech("PUT", "/way-prices", price | {"asked_on": str(day)}, expect=403)
    old = owner("PUT", "/way-prices", price | {"asked_on": str(day - timedelta(181))})
    assert (old["is_old"], old["by"], old["price"]) == (True, "owner", 145.0)
    owner("PUT", "/way-prices", price | {"asked_on": str(day), "price": 99}, expect=409)
    kept = owner("PUT", "/way-prices", price | {"asked_on": str(day), "version": old["version"]})
    assert (kept["id"], kept["is_old"]) == (old["id"], False)

    concern = opened(shop, "2087")
    [lead] = tech("GET", f"/concerns/{concern}/advice")["candidates"]
    assert [one["way"] for one in lead["ways"]] == ["mobile_programmer", "here"]
    assert lead["ways_sentence"].startswith("Sent out $145 and 2 days; here $")
    sent = f"/concerns/{concern}/sent-out"
    tech("POST", sent, MOBILE | {"way": "here"}, expect=422)
    out = tech("POST", sent, MOBILE | {"told_price": 145, "why_not": "no time"}, expect=201)
    assert (out["due_on"], out["result"], out["told_price"]) == (str(day + timedelta(2)), "", 145.0)
    assert tech("GET", f"/concerns/{concern}")["waiting"]["waiting_for"] == "sent_out"
    [one] = tech("GET", "/sent-out")
    assert (one["ref"], one["is_due"], one["sent"]["sent_to"]) == ("RO 2087-A", False, MOBILE["sent_to"])
    assert len(tech("GET", "/concerns?waiting_for=sent_out")) == 1

    tech("POST", sent, MOBILE, expect=409)
    tech("PUT", f"/concerns/{concern}/waiting", {"waiting_for": "part"}, expect=409)
    tech("DELETE", f"/concerns/{concern}/waiting", expect=409)
    tech("POST", f"/concerns/{concern}/close", {"ending": "not_resolved"}, expect=409)
    for wrong in ({"modules": []}, {"done_on": str(day - timedelta(1))}, {"result": "taken_back"}):
        tech("POST", f"{sent}/result", back(shop, update) | wrong, expect=422)
    refused = tech("POST", f"{sent}/result", back(shop, update, duplicated_before=None), expect=422)["error"]
    assert refused["fields"] == {"duplicated_before": "Say whether you saw the concern before it went out."}
    assert tech("GET", f"/concerns/{concern}")["reflashes"] == []
    bare = back(shop, update, invoice_number="")
    bare["modules"][0]["calibration_before"] = ""
    told = tech("POST", f"{sent}/result", bare)
    assert told["still_asked_for"] == ["PCM ID before", "the invoice"]
    assert (told["invoice"], told["result"]) == (145.5, "programmed")
    tech("POST", f"{sent}/result", back(shop, update), expect=404)

    seen = tech("GET", f"/concerns/{concern}")
    [done] = seen["reflashes"]
    assert (done["way"], done["technician"], done["calibration_after"]) == ("mobile_programmer", "", "NV10B")
    assert seen["waiting"] is None
    tech("POST", f"/concerns/{concern}/road-test", {"road_test": "gone"}, expect=204)
    tech("POST", f"/concerns/{concern}/close", {"ending": "cured_by_reflash", "cured_by": update})
    text = tech.client.get(f"/api/concerns/{concern}/ro-text", headers=tech.headers).text
    paper = " ".join(text.split())
    assert "completed, bulletin NV-24-101, sent out" in paper
    assert "Support voltage" not in paper
    heard = {"result": "came_back", "seen_on": str(day), "cost": 80}
    tech("POST", f"/concerns/{concern}/follow-ups", heard, expect=201)

    here = opened(shop, "2088")
    event = {"modules": back(shop, update)["modules"], "performed_on": str(day)}
    event["modules"][0]["concern_ids"] = [here]
    tech("POST", "/programming-events", event | {"done_twice": True}, expect=201)
    report = owner("GET", "/reports/reflashes")
    assert [(one["way"], one["tried"], one["comebacks"]) for one in report["by_way"]] == [
        ("here", 1, 0),
        ("mobile_programmer", 1, 1),
    ]
    only = owner("GET", "/reports/reflashes?way=mobile_programmer")
    assert [(one["tried"], one["comebacks"], one["comeback_cost"]) for one in only["rows"]] == [(1, 1, 80.0)]
    assert only["shop"]["tried"] == 2
    assert owner("GET", "/reports/reflashes?way=dealer_paid")["rows"] == []

    def comebacks(lines: list[dict[str, Any]]) -> list[tuple[int, float]]:
        return [
            (one["count"], one["amount"]) for one in lines if one["what"].startswith("All that comebacks")
        ]

    by_way = owner("GET", "/reports/money/by-way")
    assert [(one["way"], comebacks(one["lines"])) for one in by_way] == [
        ("here", [(0, 0.0)]),
        ("mobile_programmer", [(1, 80.0)]),
    ]
    assert comebacks(owner("GET", "/reports/money?way=here")) == [(0, 0.0)]
    assert comebacks(owner("GET", "/reports/money?way=mobile_programmer")) == [(1, 80.0)]
    assert comebacks(owner("GET", "/reports/money")) == [(1, 80.0)]
    assert [one["way"] for one in owner("GET", "/reports/money/by-way?way=here")] == ["here"]


def test_the_dealer_for_money_and_for_free_and_what_never_left(sqlite_shop: RunningShop) -> None:
    shop = sqlite_shop
    with shop.writing(actor_of(shop, "lead")) as desk:
        update = notes.write_note(desk, an_update()).id
    tech = Interface(shop, "tech")
    paid, free = opened(shop, "3001"), opened(shop, "3002")
    sent = f"/concerns/{paid}/sent-out"
    told = {"way": "dealer_paid", "why_not": "no tool for it"}
    assert tech("POST", sent, told, expect=201)["due_on"] == str(today(shop))
    tech("DELETE", sent, expect=204)
    tech("DELETE", sent, expect=404)
    tech("POST", sent, told, expect=201)
    repair = {"result": "other_repair", "done_on": str(today(shop))}
    tech("POST", f"{sent}/result", repair, expect=422)
    tech("POST", f"{sent}/result", repair | {"what_was_done": "ground strap replaced", "invoice": 60})
    assert [one["result"] for one in tech("GET", sent)] == ["taken_back", "other_repair"]
    assert tech("GET", f"/concerns/{paid}")["reflashes"] == []
    tech("POST", f"/concerns/{paid}/close", {"ending": "other_cause", "other_cause": "ground strap"})

    sent, at_no_cost = f"/concerns/{free}/sent-out", {"way": "dealer_free", "module": "PCM"}
    refused = tech("POST", sent, at_no_cost, expect=422)["error"]
    assert refused["fields"]["way"].startswith("Nothing on record says that it is free there.")
    tech("PUT", f"/concerns/{free}/recalls/21V331", {"result": "open", "touches": True})
    stopped = tech("POST", sent, told, expect=422)["error"]
    assert stopped["fields"] == {"stop": "recall_open"}
    tech("POST", sent, at_no_cost, expect=201)
    done = tech("POST", f"{sent}/result", back(shop, update, invoice=0, who_paid="manufacturer"))
    assert (done["way"], done["invoice"], done["still_asked_for"]) == ("dealer_free", 0.0, [])
    tech("POST", f"/concerns/{free}/road-test", {"road_test": "gone"}, expect=204)
    tech("POST", f"/concerns/{free}/close", {"ending": "cured_by_reflash", "cured_by": update})
    with shop.reading(actor_of(shop, "tech")) as desk:
        assert concerns.on_file(desk, free).concern.ending == "cured_by_reflash"
