"""What the interface says of itself: complete, in one voice, and such that its examples are taken."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from jsonschema import Draft202012Validator
from starlette.testclient import TestClient

from api.description.examples import EXAMPLES
from api.description.parameters import PARAMETERS, meaning_of
from api.routes import ROUTERS


def calls(described: Any) -> Iterator[tuple[str, Any]]:
    for methods in described["paths"].values():
        yield from methods.items()


def test_an_operation_is_named_like_its_function_and_a_body_once(described: Any) -> None:
    functions = {route.name for router in ROUTERS for route in router.routes}
    named = [call["operationId"] for _, call in calls(described)]
    assert len(named) == len(set(named))
    assert set(named) <= functions
    assert [one for one in named if not re.fullmatch(r"[a-z]+(_[a-z]+)*", one)] == []
    assert [one for one in described["components"]["schemas"] if "__" in one or "-" in one] == []


def test_every_call_says_who_may_call_and_how_it_may_be_refused(described: Any) -> None:
    for method, call in calls(described):
        cookie = {"cookie": []} if method == "get" else {"cookie": [], "form_token": []}
        expected = [] if call["operationId"] == "sign_in" else [{"bearer": []}, cookie]
        assert call["security"] == expected, call["operationId"]
        assert {"401", "403", "422", "429", "503"} <= call["responses"].keys()
        names_one = any(one["in"] == "path" or one["name"] == "after" for one in call.get("parameters", ()))
        has_body = "requestBody" in call
        assert ("404" in call["responses"]) == (names_one or has_body), call["operationId"]
        assert ("413" in call["responses"]) == has_body, call["operationId"]
    kinds = {name: one["type"] for name, one in described["components"]["securitySchemes"].items()}
    assert kinds == {"bearer": "http", "cookie": "apiKey", "form_token": "apiKey"}


def test_who_sends_a_version_is_told_of_a_conflict(described: Any) -> None:
    bodies = described["components"]["schemas"]
    for _, call in calls(described):
        shapes = call.get("requestBody", {}).get("content", {}).values()
        fields = [bodies[one["schema"]["$ref"].rpartition("/")[2]]["properties"] for one in shapes]
        asked = {one["name"] for one in call.get("parameters", ())} | {name for one in fields for name in one}
        assert "version" not in asked or "409" in call["responses"], call["operationId"]


def test_every_parameter_has_a_meaning_and_an_example_that_is_taken(described: Any) -> None:
    used = set()
    for _, call in calls(described):
        for one in call.get("parameters", ()):
            meaning, example = meaning_of(call["operationId"], one["name"])
            own = f"{call['operationId']} {one['name']}"
            used.add(own if own in PARAMETERS else one["name"])
            assert one["description"] == meaning
            Draft202012Validator(one["schema"] | {"components": described["components"]}).validate(example)
    assert sorted(PARAMETERS.keys() - used) == [], "nothing is called like that any more"


def test_every_body_has_an_example_that_is_taken(described: Any) -> None:
    used = set()
    for _, call in calls(described):
        for content in call.get("requestBody", {}).get("content", {}).values():
            used.add(call["operationId"])
            whole = content["schema"] | {"components": described["components"]}
            Draft202012Validator(whole).validate(content["example"])
    assert sorted(EXAMPLES.keys() - used) == [], "nothing is called like that any more"


def test_the_examples_of_a_day_are_taken_by_a_shop(
    sqlite_client: TestClient, as_tech: dict[str, str], as_lead: dict[str, str]
) -> None:
    def ask(method: str, path: str, example: str, who: dict[str, str]) -> Any:
        answer = sqlite_client.request(method, f"/api{path}", json=EXAMPLES[example], headers=who)
        assert answer.is_success, (example, answer.text)
        return answer.json() if answer.content else None

    note = ask("POST", "/notes", "write_note", as_lead)
    concern = f"/concerns/{ask('POST', '/concerns', 'open_concern', as_tech)['id']}"
    for method, path, example in (
        ("PUT", "/calibrations/PCM", "put_calibration"),
        ("PUT", "/look-ups/PCM", "put_look_up"),
        ("PUT", "/gates/battery", "put_gate"),
        ("PUT", "/codes", "put_codes"),
        ("PUT", "/findings/smoke_test", "put_finding"),
        ("PUT", "/recalls", "put_recall_look_up"),
        ("POST", "/decisions", "decide"),
        ("POST", "/authorizations", "authorize"),
        ("POST", "/payments", "record_payment"),
    ):
        ask(method, concern + path, example, as_tech)
    told = sqlite_client.get(f"/api{concern}/advice", headers=as_tech).json()
    assert [one["number"] for one in told["candidates"]] == [note["number"]]
    ask("POST", "/what-if", "what_if", as_tech)
    for path, example in (
        ("/lexicon", "add_shop_talk"),
        ("/families", "add_family"),
        ("/checks", "add_check"),
        ("/equipment", "add_equipment"),
        ("/requirements", "add_requirement"),
        ("/subscriptions", "add_subscription"),
        ("/subscription-plans", "add_plan_offer"),
    ):
        ask("POST", path, example, as_lead)


def test_the_page_tells_kinds_meanings_and_examples(
    sqlite_client: TestClient, as_tech: dict[str, str]
) -> None:
    page = re.sub(r"<[^>]+>", " ", sqlite_client.get("/api/docs", headers=as_tech).text)
    plain = re.sub(r"\s+", " ", page)
    assert "concern_id integer needed Id of a concern, as opening it gave it. Such as 897" in plain
    assert "409: It is not as you saw it" in plain
    assert "evidence list of Evidence" in plain
    assert "bucks and jerks at light throttle uphill when warm" in plain
