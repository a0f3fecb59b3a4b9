from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest
from starlette.testclient import TestClient

from api.schemas.base import ErrorOut
from kb.desk.context import RunningShop

SHAPE = {"code", "message", "fields", "details"}


def error_of(answer: Any) -> dict[str, Any]:
    """The error's inside, after checking that the body is of the one shape and nothing else."""
    body = answer.json()
    ErrorOut.model_validate(body)
    assert set(body) == {"error"}
    assert set(body["error"]) <= SHAPE
    assert answer.headers["content-type"] == "application/json"
    inside: dict[str, Any] = body["error"]
    return inside


@pytest.mark.parametrize(
    ("method", "path", "status", "code"),
    [
        ("GET", "/api/nothing-here", 404, "not_found"),
        ("GET", "/api/concerns/1/nothing", 404, "not_found"),
        ("PATCH", "/api/notes", 405, "method_not_allowed"),
        ("GET", "/api/notes", 401, "not_signed_in"),
    ],
)
def test_the_frameworks_own_errors_have_the_one_shape(
    sqlite_client: TestClient, method: str, path: str, status: int, code: str
) -> None:
    answer = sqlite_client.request(method, path)
    assert answer.status_code == status
    assert error_of(answer)["code"] == code


def test_a_refused_caller_is_told_how_to_sign_in(sqlite_client: TestClient) -> None:
    """RFC 9110, 11.6.1: a 401 carries WWW-Authenticate."""
    for headers in ({}, {"Authorization": "Bearer wrong"}, {"Authorization": "Basic bGVhZDpsZWFk"}):
        answer = sqlite_client.get("/api/notes", headers=headers)
        assert (answer.status_code, answer.headers["www-authenticate"]) == (401, "Bearer")


@pytest.mark.parametrize(
    ("body", "field"),
    [
        (b"{", "body"),
        (b"[]", "body"),
        (b'{"complaint": "\xff"}', "body"),
        (b'{"ro_number": "1"}', "complaint"),
        (b'{"ro_number": "1", "complaint": "x", "tires": 4}', "tires"),
        (b'{"ro_number": "1", "complaint": "x", "odometer": NaN}', "odometer"),
        (b'{"ro_number": "1", "complaint": "x", "odometer": -1}', "odometer"),
        (b'{"ro_number": "1", "complaint": "nul \\u0000 inside"}', "complaint"),
        (b'{"ro_number": "1", "complaint": "half \\ud800 a pair"}', "complaint"),
        (b'{"ro_number": "1", "complaint": "x", "codes": [{"module": "PCM"}]}', "codes.0.code"),
    ],
)
def test_a_body_that_cannot_be_taken_names_the_field(
    sqlite_client: TestClient, as_tech: dict[str, str], body: bytes, field: str
) -> None:
    headers = as_tech | {"Content-Type": "application/json"}
    answer = sqlite_client.post("/api/concerns", content=body, headers=headers)
    assert answer.status_code == 422
    assert field in error_of(answer)["fields"]


def test_an_accident_says_nothing_of_the_inside_and_saves_nothing(
    sqlite_client: TestClient,
    as_lead: dict[str, str],
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    from kb.desk.notes import notes

    def saves_then_breaks(desk: Any, draft: Any) -> None:
        desk.note_down("half done", "note", None)
        raise RuntimeError("secret inside")

    monkeypatch.setattr(notes, "write_note", saves_then_breaks)
    answer = sqlite_client.post("/api/notes", json={"kind": "lesson", "title": "x"}, headers=as_lead)
    assert answer.status_code == 500
    assert error_of(answer)["code"] == "server_error"
    assert "secret" not in answer.text
    assert "secret inside" in caplog.text
    with sqlite_client.app.state.shop.reading() as desk:  # type: ignore[attr-defined]
        trail = desk.session.connection().exec_driver_sql("SELECT action FROM trail").scalars().all()
    assert "half done" not in trail


def test_more_than_is_allowed_is_refused_by_its_promise_and_by_what_comes(
    sqlite_client: TestClient, as_tech: dict[str, str]
) -> None:
    promised = sqlite_client.post("/api/concerns", content=b"x" * 2_000_001, headers=as_tech)

    def unannounced() -> Iterator[bytes]:
        for _ in range(5):
            yield b" " * 500_000

    came = sqlite_client.post("/api/concerns", content=unannounced(), headers=as_tech)
    for answer in (promised, came):
        assert answer.status_code == 413
        assert error_of(answer)["code"] == "too_large"


def test_a_cookie_alone_changes_nothing(sqlite_client: TestClient, sqlite_shop: RunningShop) -> None:
    """Another site can make a browser send the cookie, but cannot read the form token."""
    from kb.desk.access import accounts
    from kb.desk.access.passwords import chosen
    from kb.desk.context import CONSOLE

    with sqlite_shop.writing(CONSOLE) as desk:
        accounts.add_user(desk, "maria", "Maria", "owner", chosen("correct horse 7"))
    signed_in = sqlite_client.post("/api/sign-in", json={"name": "maria", "password": "correct horse 7"})
    cookie = signed_in.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=lax" in cookie
    lesson = {"kind": "lesson", "title": "Written by a browser"}
    assert sqlite_client.get("/api/me").json()["name"] == "maria"
    refused = sqlite_client.post("/api/notes", json=lesson)
    assert (refused.status_code, error_of(refused)["code"]) == (403, "not_allowed")
    token = {"X-Form-Token": signed_in.json()["form_token"]}
    assert sqlite_client.post("/api/notes", json=lesson, headers=token).status_code == 201
    assert sqlite_client.post("/api/sign-out", headers=token).status_code == 204
    assert sqlite_client.get("/api/me").status_code == 401


def test_the_description_of_the_interface_is_there_to_read_for_people_of_the_shop(
    sqlite_client: TestClient, as_tech: dict[str, str]
) -> None:
    for path in ("/api/openapi.json", "/api/docs", "/api/docs.css"):
        assert sqlite_client.get(path).status_code == 401
    described = sqlite_client.get("/api/openapi.json", headers=as_tech).json()
    page = sqlite_client.get("/api/docs", headers=as_tech)
    assert page.status_code == 200
    for path, methods in described["paths"].items():
        for method, said in methods.items():
            assert f"{method.upper()} {path}" in page.text
            refusal = said["responses"]["422"]["content"]["application/json"]["schema"]["$ref"]
            assert refusal.endswith("/ErrorOut"), (method, path)
    outbound = [word for word in ("http://", "https://", "<script", "style=") if word in page.text]
    assert outbound == []
    assert json.dumps(described).count("HTTPValidationError") == 0
