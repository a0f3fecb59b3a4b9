"""Lists that have a limit go on from the last one: none is left out, none comes twice."""

from __future__ import annotations

import re
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.factories import headers_of

pytestmark = pytest.mark.both_databases


def every_page(client: TestClient, first: str, who: dict[str, str]) -> list[list[Any]]:
    pages, path = [], first
    while path:
        answer = client.get(path, headers=who)
        pages.append(answer.json())
        said = re.fullmatch(r'<(.*)>; rel="next"', answer.headers.get("Link", ""))
        path = said[1] if said else ""
    return pages


def test_concerns_of_one_day_and_of_others_come_once_each_newest_first(client: TestClient, shop: Any) -> None:
    who = headers_of(shop, "tech")
    days = ("2026-10-03", "2026-10-05", "2026-10-05", "2026-10-05", "2026-10-01", "2026-10-04", "2026-10-05")
    ids = []
    for number, day in enumerate(days):
        said = {"ro_number": f"30{number}", "complaint": "stalls warm", "make": "Tarn", "opened_on": day}
        ids.append(client.post("/api/concerns", json=said, headers=who).json()["id"])
    by_hand = [ids[at] for at in (6, 3, 2, 1, 5, 0, 4)]
    pages = every_page(client, "/api/concerns?q=stalls&limit=2&state=open", who)
    assert [len(one) for one in pages] == [2, 2, 2, 1]
    assert [one["id"] for page in pages for one in page] == by_hand
    assert every_page(client, "/api/concerns?q=nothing+of+it", who) == [[]]
    assert client.get("/api/concerns?after=99999", headers=who).status_code == 404


def test_imports_go_on_too(client: TestClient, shop: Any) -> None:
    lead = headers_of(shop, "lead")
    for number in range(3):
        file = {"file": (f"{number}.csv", f"number,title\nN-{number},A title\n".encode())}
        assert client.post("/api/imports", files=file, data={"format": "notes"}, headers=lead).is_success
    pages = every_page(client, "/api/imports?limit=2", lead)
    assert [[one["file_name"] for one in page] for page in pages] == [["2.csv", "1.csv"], ["0.csv"]]
