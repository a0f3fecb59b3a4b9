"""The advice as people read it: its numbers in words, opened, changed for one concern, tried with others."""

from __future__ import annotations

import re
from typing import Any

import pytest
from starlette.testclient import TestClient

from kb.desk.bay.advice import advice
from kb.desk.context import RunningShop
from kb.nouns.advice import Zones
from kb.nouns.chance_words import edges_said
from tests.factories import actor_of, headers_of
from tests.web.conftest import SignIn
from web.words import money, percent

TRIED = {
    "update_1": "first",
    "chance_1": "45",
    "cost_1": "180",
    "update_2": "second",
    "chance_2": "20",
    "cost_2": "140",
    "diagnosis_cost": "375",
    "rework_cost": "150",
    "shared_cost": "40",
    "check_1": "Smoke-test the intake",
    "cured_1": "1",
    "not_1": "5",
    "check_cost_1": "30",
}
BODY: dict[str, Any] = {
    "updates": [
        {"name": "first", "chance": 0.45, "cost": 180},
        {"name": "second", "chance": 0.2, "cost": 140},
    ],
    "diagnosis_cost": 375,
    "rework_cost": 150,
    "shared_cost": 40,
    "checks": [{"name": "Smoke-test the intake", "yes_if_cured": 0.1, "yes_if_not": 0.5, "cost": 30}],
}


@pytest.mark.parametrize(
    ("diagnosis", "verdict"),
    [(375, "Keep diagnosing"), (600, "Check first: Smoke"), (3000, "Reflash: first")],
)
def test_the_what_if_page_and_the_interface_agree(
    sqlite_shop: RunningShop, sqlite_client: TestClient, signed_in: SignIn, diagnosis: int, verdict: str
) -> None:
    body, headers = BODY | {"diagnosis_cost": diagnosis}, headers_of(sqlite_shop, "tech")
    told = sqlite_client.post("/api/what-if", json=body, headers=headers).json()
    page = signed_in("tech").send("/what-if", "/what-if", TRIED | {"diagnosis_cost": str(diagnosis)})
    for amount in ("expected_cost", "reflash_cost", "diagnose_cost"):
        assert money(told[amount]) in page.text, amount
    assert f"pays above {percent(told['threshold'])}" in page.text
    assert edges_said(0.45, Zones(*told["zones"]), percent) in page.text
    assert verdict in page.text


def test_a_concern_says_its_zones_its_range_and_three_costs_and_draws_the_plan(
    bay: RunningShop, signed_in: SignIn
) -> None:
    with bay.reading(actor_of(bay, "tech")) as desk:
        said = advice.give_advice(desk, 1)
    page = signed_in("tech").see("/concerns/1")
    assert said.costs is not None
    for line in (said.costs.plan, said.costs.reflash_now, said.costs.diagnose_first):
        assert money(line.total) in page.text, line.label
    lead = said.candidates[0]
    assert edges_said(lead.chance, lead.zones).capitalize() in page.text
    assert re.search(r"Holds while diagnosis costs (up to )?\$\d", page.text)
    assert any("The plan as a tree" in picture.get("aria-label", "") for picture in page.all("svg"))
    step = said.steps[0]
    assert step.do == "check"
    words = {button.get("value") for form in page.forms for button in form.buttons}
    assert {"yes", "no", "inconclusive"} <= words
    assert step.yes_word in page.text
    assert step.no_word in page.text


@pytest.mark.parametrize(
    ("chance", "zones", "words"),
    [
        (0.5, Zones(0.2, 0.6), "reflash from 60%, keep diagnosing below 20%"),
        (0.5, Zones(0.4, 0.4), "reflash from 40%"),
        (0.3, Zones(0.4, 0.4), "keep diagnosing below 40%"),
        (0.596, Zones(0.0, 0.6), "just below where a reflash pays"),
        (0.596, Zones(0.4, 0.6), "just below where a reflash pays; keep diagnosing below 40%"),
        (0.5, Zones(0.3, 1.0), "keep diagnosing below 30%"),
        (0.5, Zones(0.0, 1.0), "a check comes first at any chance"),
    ],
)
def test_edges_are_said_in_words_that_agree_with_the_chance(chance: float, zones: Zones, words: str) -> None:
    assert edges_said(chance, zones, percent) == words


def test_every_number_of_an_evidence_leads_to_its_concerns(reflashed: RunningShop, signed_in: SignIn) -> None:
    """One of the three reflashes was cured and followed, one came back."""
    tech = signed_in("tech")
    page = tech.see("/concerns/1")
    behind = tech.see("/evidence/start?update=1")
    assert "/evidence/start?update=1" in page.links
    assert "cured by it: 1" in behind.text
    assert "not cured by it: 1" in behind.text
    assert {"/concerns/2", "/concerns/3"} <= set(behind.links)
    tech.see("/evidence/no_such_check", expect=404)


def test_a_cost_that_differs_here_changes_the_advice_here_and_says_who_and_why(
    bay: RunningShop, signed_in: SignIn
) -> None:
    tech = signed_in("tech")
    assert "$375" in tech.see("/concerns/1").text
    path = "/concerns/1/costs"
    refused = tech.send(path, f"{path}/diagnosis_minutes", {"value": "300"}, expect=422)
    assert "Say why this concern differs." in refused.text
    assert refused.form(f"{path}/diagnosis_minutes").fields["value"] == ["300"]
    tech.send(path, f"{path}/diagnosis_minutes", {"value": "300", "why": "dash out"})
    assert "dash out" in tech.see(path).text
    assert "$750" in tech.see("/concerns/1").text
    tech.send(path, f"{path}/diagnosis_minutes", {"value": "", "why": ""})
    assert "$750" not in tech.see("/concerns/1").text


def test_the_interface_changes_and_restores_the_same_costs(
    bay: RunningShop, sqlite_client: TestClient
) -> None:
    headers = headers_of(bay, "tech")
    path = "/api/concerns/1/costs"
    changed = sqlite_client.put(f"{path}/comeback_cost", json={"value": 80.5, "why": "w"}, headers=headers)
    assert (changed.json()["own_value"], changed.json()["shop_value"]) == (80.5, 250)
    stale = {"value": 90, "why": "w", "version": 0}
    assert sqlite_client.put(f"{path}/comeback_cost", json=stale, headers=headers).status_code == 409
    gone = sqlite_client.delete(f"{path}/comeback_cost", headers=headers).json()
    assert gone["own_value"] is None
    listed = {one["key"]: one for one in sqlite_client.get(path, headers=headers).json()}
    assert listed["comeback_cost"]["own_value"] is None
    assert listed["labor_rate_per_hour"]["shop_value"] == 150
