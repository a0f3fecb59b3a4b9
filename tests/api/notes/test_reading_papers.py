"""`POST /api/notes/read`: a text in, proposals with the words they came from out; nothing is saved."""

from __future__ import annotations

from starlette.testclient import TestClient

PAPER = """\
BULLETIN NUMBER: 16-23-044   DATE: 03/14/2023
MODELS: '16-'17 Norvane Alto
CONDITION: Engine surges when warm. P0087 may also be stored.
Old calibration ID: 0447B   New calibration ID: 0447D
"""


def test_a_text_is_read_and_nothing_is_saved(sqlite_client: TestClient, as_lead: dict[str, str]) -> None:
    before = sqlite_client.get("/api/notes", headers=as_lead).json()["total"]
    answer = sqlite_client.post("/api/notes/read", json={"text": PAPER}, headers=as_lead)
    assert answer.status_code == 200
    read = answer.json()["proposals"]
    told = {(one["field"], one["value"], one["read_from"]) for one in read}
    assert told >= {
        ("number", "16-23-044", "16-23-044"),
        ("published_on", "2023-03-14", "03/14/2023"),
        ("year", "2016", "'16-'17"),
        ("year", "2017", "'16-'17"),
        ("old_id", "0447B", "0447B"),
        ("new_id", "0447D", "0447D"),
        ("code", "P0087", "P0087"),
    }
    assert {one["kind"] for one in read if one["field"] == "code"} == {"may_be_stored"}
    assert all(one["read_from"] in PAPER for one in read)
    assert sqlite_client.get("/api/notes", headers=as_lead).json()["total"] == before


def test_what_cannot_be_read_is_refused_with_what_to_do(
    sqlite_client: TestClient, as_lead: dict[str, str]
) -> None:
    for text, said in (
        (" \n", "Paste"),
        ("x" * 250_001, "at most 250,000"),
        ("\x01\x02\x03" * 50, "copy its text"),
    ):
        answer = sqlite_client.post("/api/notes/read", json={"text": text}, headers=as_lead)
        assert answer.status_code == 422
        assert said in answer.json()["error"]["message"]
    assert sqlite_client.post("/api/notes/read", json={"text": "a"}).status_code == 401
