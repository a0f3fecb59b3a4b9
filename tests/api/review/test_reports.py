"""The report on reflashes over HTTP, after a history came in as a CSV file.

The worked example 3.18 of the project: 12 reflashes, comebacks on day 5, 20 and 40, still good on day 10, 15,
30, 30, 60 and four on day 90. Kaplan-Meier from the lifelines package; the interval is of the beta product
procedure (Fay, Brittain & Proschan 2013), .2935 to .9111 at 90 %.
"""

from __future__ import annotations

import csv
import io
from datetime import date, timedelta
from typing import Any

import pytest
from lifelines import KaplanMeierFitter
from starlette.testclient import TestClient

from kb.desk.context import RunningShop
from tests.factories import headers_of

pytestmark = pytest.mark.both_databases

BEGIN = date(2026, 3, 2)
BACK, GOOD = (5, 20, 40), (10, 15, 30, 30, 60, 90, 90, 90, 90)
COLUMNS = ("ro_number", "opened_on", "make", "complaint", "module", "update", "reflashed_on")
MORE = ("gone_at_road_test", "returned_on", "last_seen_on", "other_work", "cost")


def row(number: int, **said: str) -> dict[str, str]:
    usual = {
        "ro_number": f"RO-{number}",
        "opened_on": str(BEGIN),
        "make": "Norvane",
        "complaint": "bucks uphill when warm",
        "module": "PCM",
        "update": "NV-24-101",
        "reflashed_on": str(BEGIN),
        "gone_at_road_test": "yes",
    }
    return usual | said


def the_twelve() -> list[dict[str, str]]:
    back = [row(day, returned_on=str(BEGIN + timedelta(day)), cost="100.10") for day in BACK]
    good = [row(100 + at, last_seen_on=str(BEGIN + timedelta(day)), cost="7") for at, day in enumerate(GOOD)]
    return back + good


def bring_in(client: TestClient, headers: dict[str, str], rows: list[dict[str, str]]) -> dict[str, Any]:
    text = io.StringIO()
    writer = csv.DictWriter(text, (*COLUMNS, *MORE), restval="")
    writer.writeheader()
    writer.writerows(rows)
    files = {"file": ("history.csv", text.getvalue().encode(), "text/csv")}
    answer = client.post("/api/imports", data={"format": "history"}, files=files, headers=headers)
    assert answer.status_code < 300, answer.text
    found: dict[str, Any] = client.get(f"/api/imports/{answer.json()['id']}", headers=headers).json()
    return found


@pytest.fixture
def report(client: TestClient, shop: RunningShop) -> Any:
    """Asks for the report of a shop with the twelve."""
    headers = headers_of(shop, "owner")
    assert bring_in(client, headers, the_twelve())["state"] == "done"

    def ask(**asked: Any) -> Any:
        answer = client.get("/api/reports/reflashes", params=asked, headers=headers)
        assert answer.status_code == 200, answer.text
        return answer.json()

    return ask


def test_twelve_reflashes_give_the_published_rate_and_interval(report: Any) -> None:
    told = report(level=0.9, window_days=90)
    assert (told["window_days"], told["level"]) == (90, 0.9)
    [found] = told["rows"]
    fitted = KaplanMeierFitter().fit([*BACK, *GOOD], [True] * 3 + [False] * 9)
    assert found["cure_rate"] == pytest.approx(fitted.predict(90), abs=1e-12)
    assert found["cure_rate"] == pytest.approx(0.679012, abs=5e-7)
    assert found["interval"] == pytest.approx([0.2935, 0.9111], abs=5e-5)
    assert (found["update"], found["title"]) == ("NV-24-101", "NV-24-101 (from history)")
    counts = ("tried", "failed_at_road_test", "comebacks", "in_window", "overdue", "followed_to_window")
    assert [found[name] for name in counts] == [12, 0, 3, 0, 5, 4]
    assert found["rate_if_silence_is_fine"] == pytest.approx(9 / 12)
    assert found["comeback_cost"] == pytest.approx(300.30)
    assert {name: told["shop"][name] for name in counts} == {name: found[name] for name in counts}
    assert told["shop"]["cure_rate"] == found["cure_rate"]


def test_on_an_earlier_day_only_what_was_known_by_then_counts(report: Any) -> None:
    [found] = report(as_of=str(BEGIN + timedelta(30)))["rows"]
    known = KaplanMeierFitter().fit([5, 20, 10, 15, 30, 30, *[0] * 6], [True] * 2 + [False] * 10)
    assert found["cure_rate"] == pytest.approx(known.predict(30), abs=1e-12)
    assert (found["comebacks"], found["in_window"], found["followed_to_window"]) == (2, 10, 0)
    assert found["interval"][0] == 0


def test_a_shorter_window_forgives_later_comebacks(report: Any) -> None:
    [found] = report(window_days=30)["rows"]
    assert found["cure_rate"] == pytest.approx(0.814815, abs=5e-7)
    assert (found["comebacks"], found["followed_to_window"]) == (2, 8)


def test_days_and_make_choose_rows(report: Any) -> None:
    assert report(**{"from": str(BEGIN + timedelta(1))})["rows"] == []
    assert report(make="Quellen")["rows"] == []
    assert report(make="NORVANE")["rows"][0]["tried"] == 12
    assert report(**{"from": str(BEGIN), "to": str(BEGIN)})["rows"][0]["tried"] == 12


@pytest.mark.parametrize(
    "asked", [{"level": 1}, {"window_days": 0}, {"from": "2026-05-01", "to": "2026-04-01"}, {"as_of": "x"}]
)
def test_a_question_that_cannot_be_is_refused(
    sqlite_client: TestClient, as_owner: dict[str, str], asked: dict[str, Any]
) -> None:
    answer = sqlite_client.get("/api/reports/reflashes", params=asked, headers=as_owner)
    assert answer.status_code == 422
    assert answer.json()["error"]["message"]
