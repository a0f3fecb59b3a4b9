"""README's worked example is run against a filled demo, on each day of a week."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

import api.app
import demo_data.load
from api.hosts import Called
from kb.desk.context import CONSOLE, RunningShop
from kb.desk.shop import demo_filling, out_and_in_again
from tests.conftest import StandingClock
from tests.factories import headers_of

README = (Path(__file__).parents[2] / "README.md").read_text("utf-8")
EXAMPLE = README[README.index("## One worked example") : README.index("## Your own shop")]
NEWEST_DAY = date(2026, 11, 26)
"""A Thursday; the story told on the six days after it ends here too."""
EVENING_UTC = time(20)


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[TestClient, StandingClock]]:
    """The demo as it is filled on its newest day, asked by a technician."""
    clock = StandingClock(datetime.combine(NEWEST_DAY, EVENING_UTC, UTC))
    file = tmp_path_factory.mktemp("demo") / "demo.db"
    shop = RunningShop.open(f"sqlite:///{file}", clock=clock, name="Demo shop", is_demo=True)
    with shop.writing(CONSOLE) as desk:
        demo_filling.begin_filling(desk)
    headers = headers_of(shop, "tech")
    with TestClient(api.app.make(shop, Called(frozenset({"testserver"}))), headers=headers) as client:
        refused = client.get("/api/concerns")
        assert (refused.status_code, refused.headers["Retry-After"]) == (503, "2")
        assert refused.json()["error"]["code"] == "not_ready"
        demo_data.load.load(shop, NEWEST_DAY)
        yield client, clock
    shop.close()


@pytest.fixture(params=range(7))
def client(request: pytest.FixtureRequest, filled: tuple[TestClient, StandingClock]) -> TestClient:
    """The same so many days later: told on that day, the story has the same rows."""
    found, clock = filled
    clock.now = datetime.combine(NEWEST_DAY + timedelta(days=request.param), EVENING_UTC, UTC)
    return found


def _shown() -> Any:
    """The answer as README prints it, of which "..." leaves things out."""
    printed = EXAMPLE[EXAMPLE.index('{"results"') :]
    return json.loads(re.sub(r",\s*\.\.\.", "", printed[: printed.index("\n```")]))


def _missing(shown: Any, real: Any) -> list[Any]:
    """What is shown and not so, down through objects and lists."""
    if isinstance(shown, dict):
        return [wrong for key, value in shown.items() for wrong in _missing(value, real.get(key))]
    if isinstance(shown, list):
        return [one for one in shown if not any(not _missing(one, other) for other in real or ())]
    return [] if shown == real else [shown]


def test_the_search_of_the_readme_finds_what_the_readme_shows(client: TestClient) -> None:
    address = re.search(r"http://127\.0\.0\.1:8000(/api/search\?[^\"]+)", EXAMPLE)
    assert address
    shown = _shown()
    assert len(shown["results"][0]["why"]) == 3
    assert _missing(shown, client.get(address[1]).json()) == []


def test_the_concern_of_the_readme_is_the_one_it_names_and_says_what_the_readme_says(
    client: TestClient,
) -> None:
    number = re.search(r"/api/concerns/(\d+)/advice", EXAMPLE)
    order = re.search(r"repair order (\S+)", EXAMPLE)
    said = re.search(r"^Check first: .*$", EXAMPLE, re.MULTILINE)
    assert number and order and said  # noqa: PT018  # the three together are the example
    assert client.get(f"/api/concerns/{number[1]}").json()["ref"] == f"RO {order[1]}"
    assert client.get(f"/api/concerns/{number[1]}/advice").json()["sentence"].startswith(said[0])


def test_the_newest_line_is_0_to_6_days_old(client: TestClient) -> None:
    opened = [one["opened_on"] for one in client.get("/api/concerns").json()]
    assert max(opened) == NEWEST_DAY.isoformat()


def test_the_invented_shop_goes_out_and_in_again(
    filled: tuple[TestClient, StandingClock], tmp_path: Path
) -> None:
    with filled[0].app.state.shop.reading(CONSOLE) as desk:  # type: ignore[attr-defined]
        out_and_in_again.export_to_file(desk, tmp_path / "one.jsonl")
    other = f"sqlite:///{tmp_path / 'shop.db'}"
    out_and_in_again.bring_in(tmp_path / "one.jsonl", other, datetime.now(UTC))
    shop = RunningShop.open(other)
    with shop.reading(CONSOLE) as desk:
        assert out_and_in_again.export_to_file(desk, tmp_path / "two.jsonl") > 25_000
    shop.close()
    assert (tmp_path / "one.jsonl").read_bytes() == (tmp_path / "two.jsonl").read_bytes()
