"""The header Idempotency-Key, and forms and calls that two worker processes are sent at once.

What the header means: draft-ietf-httpapi-idempotency-key-header-07, section 2.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
from starlette.testclient import TestClient

from kb.desk.context import RunningShop
from tests.factories import headers_of
from tests.web.browsing import Visitor

KEY = {"Idempotency-Key": '"8e03978e-40d5-43e8-bc93-6894a57f9324"'}
CONCERN = {"ro_number": "2087", "complaint": "bucks at light throttle", "same_number": "another_vehicle"}
TIMES = 8


def test_the_same_call_is_answered_as_at_first(
    sqlite_client: TestClient, as_tech: dict[str, str], as_lead: dict[str, str]
) -> None:
    def send(body: Any, headers: dict[str, str] = as_tech) -> Any:
        return sqlite_client.post("/api/concerns", json=body, headers=headers | KEY)

    refused = send(CONCERN | {"complaint": ""})
    first = send(CONCERN)
    assert (refused.status_code, first.status_code) == (422, 201)
    bare = {"Idempotency-Key": KEY["Idempotency-Key"].strip('"')}
    again = sqlite_client.post("/api/concerns", json=CONCERN, headers=as_tech | bare)
    assert (again.status_code, again.content, again.headers["content-type"]) == (
        201,
        first.content,
        first.headers["content-type"],
    )
    gate = f"/api/concerns/{first.json()['id']}/gates/battery"
    elsewhere = sqlite_client.put(gate, json={"result": "pass"}, headers=as_tech | KEY)
    for other in (send(CONCERN | {"complaint": "surges"}), elsewhere):
        assert other.status_code == 422
        assert other.json()["error"]["fields"] == {"Idempotency-Key": "used already"}
    assert send(CONCERN, as_lead).json()["id"] != first.json()["id"]
    sqlite_client.post("/api/concerns", json=CONCERN, headers=as_tech)
    assert len(sqlite_client.get("/api/concerns", headers=as_tech | KEY).json()) == 3


def test_calls_without_a_body_of_an_answer_and_with_files_are_known_again(
    sqlite_client: TestClient, as_lead: dict[str, str]
) -> None:
    opened = sqlite_client.post("/api/concerns", json=CONCERN | {"phone": "555-0100"}, headers=as_lead).json()
    phone = f"/api/concerns/{opened['id']}/phone"
    answers = [sqlite_client.delete(phone, headers=as_lead | KEY) for _ in range(2)]
    assert [(one.status_code, one.content) for one in answers] == [(204, b"")] * 2
    other = {"Idempotency-Key": "the file"}

    def bring(content: str) -> Any:
        file = {"file": ("notes.jsonl", content.encode(), "application/jsonl")}
        return sqlite_client.post(
            "/api/imports", files=file, data={"format": "notes"}, headers=as_lead | other
        )

    first = bring('{"kind": "lesson", "title": "Check the strap"}')
    assert first.status_code == 201
    assert bring('{"kind": "lesson", "title": "Check the strap"}').content == first.content
    assert bring('{"kind": "lesson", "title": "Check the hose"}').status_code == 422


@pytest.mark.both_databases
def test_two_processes_take_a_form_and_a_call_once(shop: RunningShop, twin: RunningShop) -> None:
    """Behind two applications."""
    visitors = [Visitor(shop).sign_in("tech"), Visitor(twin)]
    visitors[1].client.cookies.update(visitors[0].client.cookies)
    form = visitors[0].see("/concerns/new").form("/concerns/new").fields
    form |= CONCERN | {"same_number_of": CONCERN["ro_number"]}
    headers = headers_of(shop, "tech") | KEY

    def send(number: int) -> tuple[int, str]:
        client = visitors[number % 2].client
        if number % 4 < 2:
            answer = client.post("/concerns/new", data=form, follow_redirects=False)
            return answer.status_code, answer.headers["location"]
        answer = client.post("/api/concerns", json=CONCERN, headers=headers)
        return answer.status_code, answer.text

    with ThreadPoolExecutor(TIMES) as at_once:
        answers = set(at_once.map(send, range(2 * TIMES)))
    assert {status for status, _ in answers} == {303, 201}
    assert len(answers) == 2
    assert len(visitors[0].client.get("/api/concerns", headers=headers).json()) == 2
