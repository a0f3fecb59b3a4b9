"""Calls of the interface that say which status they must be answered with."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from starlette.testclient import TestClient

from kb.desk.context import RunningShop
from tests.factories import headers_of

Ask = Callable[..., Any]
"""Takes method, path below /api, headers of who asks, body and expected status (200); gives the JSON."""


def asks(client: TestClient) -> Ask:
    """Calls by whoever's headers are given; an answer without content is None."""

    def ask(method: str, path: str, who: dict[str, str], body: Any = None, expect: int = 200) -> Any:
        answer = client.request(method, f"/api{path}", headers=who, json=body)
        assert answer.status_code == expect, answer.text
        return answer.json() if answer.content else None

    return ask


class Caller:
    """One person's calls."""

    def __init__(self, client: TestClient, shop: RunningShop, name: str) -> None:
        self._ask, self.headers = asks(client), headers_of(shop, name)

    def ask(self, method: str, path: str, body: Any = None, expect: int = 200) -> Any:
        return self._ask(method, path, self.headers, body, expect)
