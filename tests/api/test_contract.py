"""The interface that others build on, typed by hand from its agreed description: it stays as it is."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

PATHS = {
    "GET /api/search",
    "POST /api/what-if",
    "POST /api/concerns",
    "GET /api/concerns/{}",
    "PUT /api/concerns/{}/calibrations/{}",
    "PUT /api/concerns/{}/findings/{}",
    "GET /api/concerns/{}/advice",
    "POST /api/concerns/{}/decisions",
    "POST /api/concerns/{}/stops/{}/lift",
    "POST /api/concerns/{}/follow-ups",
    "POST /api/concerns/{}/close",
    "POST /api/programming-events",
    "GET /api/follow-ups",
    "GET /api/notes",
    "POST /api/notes",
    "PUT /api/notes/{}",
    "GET /api/notes/{}/revisions",
    "GET /api/reports/reflashes",
    "GET /api/reports/advice",
    "POST /api/imports",
    "GET /api/imports/{}",
    "POST /api/imports/{}/undo",
}
FIELDS = {
    "ResultOut": "kind id number title score grade applies why record",
    "WhyOut": "typed read_as matched through",
    "CureRecord": "cured tried",
    "SearchOut": "results corrections message",
    "UpdateIn": "name chance cost",
    "CheckIn": "name yes_if_cured yes_if_not cost saved_from_diagnosis",
    "WhatIfIn": "updates diagnosis_cost rework_cost shared_cost checks",
    "WhatIfOut": "reflash_cost diagnose_cost threshold expected_cost zones plan",
    "CheckNode": "do name expected_cost yes no",
    "ReflashNode": "do name expected_cost then",
    "DiagnoseNode": "do expected_cost",
    "AdviceOut": "verdict sentence stops notices candidates plan costs",
    "CandidateOut": "note chance interval threshold zones steadiness record evidence",
    "Evidence": "name result log_odds counts",
    "FindingBody": "result",
    "ReflashReportOut": "as_of window_days level shop rows",
    "RowOut": "update title tried failed_at_road_test comebacks in_window overdue followed_to_window "
    "cured_with_other_work cure_rate interval rate_if_silence_is_fine shrunken_rate shrunken_interval "
    "comeback_cost alarm worse_than_it_was",
    "AlarmOut": "since sentence",
    "ErrorOut": "error",
    "ErrorInside": "code message fields details",
}
PARAMETERS = {
    "/api/search": "q codes make model year kind limit",
    "/api/reports/reflashes": "window_days level from to make as_of",
    "/api/follow-ups": "due",
}


def test_every_agreed_path_is_there(described: Any) -> None:
    found = {
        f"{method.upper()} " + "/".join("{}" if part.startswith("{") else part for part in path.split("/"))
        for path, methods in described["paths"].items()
        for method in methods
    }
    assert sorted(PATHS - found) == []


@pytest.mark.parametrize("name", FIELDS)
def test_every_agreed_field_is_there(described: Any, name: str) -> None:
    found = set(described["components"]["schemas"][name]["properties"])
    assert sorted(set(FIELDS[name].split()) - found) == []


@pytest.mark.parametrize("path", PARAMETERS)
def test_every_agreed_parameter_is_there(described: Any, path: str) -> None:
    found = {one["name"] for one in described["paths"][path]["get"]["parameters"]}
    assert sorted(set(PARAMETERS[path].split()) - found) == []


def test_the_worked_example_of_two_checks_costs_what_its_description_says(
    sqlite_client: TestClient, as_tech: dict[str, str]
) -> None:
    """p .05, c 100, c_d 300, r 20, checks (.9, .1, 1) and (.98, .02, 16): exact 295.24, by the design."""
    asked = {
        "updates": [{"name": "A", "chance": 0.05, "cost": 100}],
        "diagnosis_cost": 300,
        "rework_cost": 20,
        "checks": [
            {"name": "quick", "yes_if_cured": 0.9, "yes_if_not": 0.1, "cost": 1},
            {"name": "strong", "yes_if_cured": {"A": 0.98}, "yes_if_not": 0.02, "cost": 16},
        ],
    }
    told = sqlite_client.post("/api/what-if", json=asked, headers=as_tech).json()
    assert told["expected_cost"] == pytest.approx(295.24, abs=0.005)
    assert told["threshold"] == pytest.approx((100 + 20) / (100 + 20 + 300))
    assert told["diagnose_cost"] == pytest.approx(300 + 0.05 * 100)
    assert told["reflash_cost"] == pytest.approx(100 + 0.95 * (300 + 20))
    assert (told["plan"]["do"], told["plan"]["name"]) == ("check", "quick")


@pytest.mark.parametrize(
    "change",
    [
        {"updates": []},
        {"updates": [{"name": n, "chance": 0.1, "cost": 1} for n in "ABCD"]},
        {"updates": [{"name": n, "chance": 0.6, "cost": 1} for n in "AB"]},
        {"updates": [{"name": "A", "chance": -0.1, "cost": 1}]},
        {"updates": [{"name": "A", "chance": 0.1, "cost": -1}]},
        {"diagnosis_cost": -1},
        {"checks": [{"name": "x", "yes_if_cured": 1.1, "yes_if_not": 0, "cost": 1}]},
        {"checks": [{"name": str(n), "yes_if_cured": 0.9, "yes_if_not": 0.1, "cost": 1} for n in range(13)]},
    ],
)
def test_numbers_that_cannot_be_are_refused(
    sqlite_client: TestClient, as_tech: dict[str, str], change: dict[str, Any]
) -> None:
    asked = {
        "updates": [{"name": "A", "chance": 0.5, "cost": 100}],
        "diagnosis_cost": 300,
        "rework_cost": 20,
    }
    assert sqlite_client.post("/api/what-if", json=asked, headers=as_tech).status_code == 200
    answer = sqlite_client.post("/api/what-if", json=asked | change, headers=as_tech)
    assert (answer.status_code, answer.json()["error"]["code"]) == (422, "bad_input")


@pytest.mark.parametrize(
    ("chances", "first"), [([0.0], "diagnose"), ([1.0], "reflash"), ([0.5, 0.5], "reflash")]
)
def test_a_chance_may_be_0_or_1_or_the_chances_sum_to_1(
    sqlite_client: TestClient, as_tech: dict[str, str], chances: list[float], first: str
) -> None:
    """A sure one: reflash, 100. None: diagnose, 300. Two that share it all: 160 against 400."""
    updates = [{"name": str(n), "chance": p, "cost": 100} for n, p in enumerate(chances)]
    asked = {"updates": updates, "diagnosis_cost": 300, "rework_cost": 20}
    told = sqlite_client.post("/api/what-if", json=asked, headers=as_tech).json()
    assert told["plan"]["do"] == first
