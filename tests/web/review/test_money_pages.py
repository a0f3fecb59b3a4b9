"""Money over HTTP: what the page, the file and the interface say comes to what was written down."""

from __future__ import annotations

import csv
import io
import random
import re
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from starlette.testclient import TestClient

from kb.desk.context import RunningShop
from kb.desk.notes import notes
from tests.conftest import StandingClock
from tests.factories import an_update, headers_of
from tests.kb.desk.bay.test_any_course import Course
from tests.kb.desk.imports.importing import LEAD, history, take
from tests.web.conftest import SignIn

ALL = "All that comebacks and other causes cost"


def written_down(client: TestClient, headers: dict[str, str], today: date) -> Decimal:
    """What the follow-ups of every concern say that failures cost, read one concern at a time; a file's slip
    of the pen may lie in the future.
    """
    lines = client.get("/api/concerns?state=all&limit=500", headers=headers).json()
    concerns = [client.get(f"/api/concerns/{one['id']}", headers=headers).json() for one in lines]
    heard = [said for one in concerns for said in one["follow_ups"]]
    failed = [one for one in heard if one["result"] in ("came_back", "other_cause")]
    failed = [one for one in failed if one["seen_on"] <= str(today)]
    return sum((Decimal(str(one["cost"] or 0)) for one in failed), Decimal(0))


@pytest.mark.parametrize("seed", range(3))
def test_after_any_course_the_sums_are_those_of_the_follow_ups(
    sqlite_shop: RunningShop,
    sqlite_client: TestClient,
    signed_in: SignIn,
    clock: StandingClock,
    seed: int,
) -> None:
    with sqlite_shop.writing(LEAD) as desk:
        for number in ("NV-24-101", "B-2"):
            notes.write_note(desk, an_update(number=number))
    course = Course(sqlite_shop, clock, random.Random(seed))
    for _ in range(80):
        course.step()
    day = str(clock().date() - timedelta(30))
    paid = {"ro_number": "900", "opened_on": day, "reflashed_on": day, "returned_on": day, "cost": "12.34"}
    take(sqlite_shop, "history", history(paid))
    headers, owner = headers_of(sqlite_shop, "owner"), signed_in("owner")
    recorded = written_down(sqlite_client, headers, clock().date())
    assert recorded >= Decimal("12.34")
    told: list[dict[str, Any]] = sqlite_client.get("/api/reports/money", headers=headers).json()
    assert [Decimal(str(one["amount"])) for one in told if one["what"] == ALL] == [recorded]
    owner.see("/review/tables/money.csv")
    assert owner.answer is not None
    rows = list(csv.DictReader(io.StringIO(owner.answer.text)))
    assert [(one["what"], Decimal(one["amount"])) for one in rows] == [
        (one["what"], Decimal(str(one["amount"]))) for one in told
    ]
    page = owner.see("/review").html
    shown = re.search(rf"{ALL}</strong>.*?\$([\d,.]+)", page)
    assert shown is not None
    assert Decimal(shown[1].replace(",", "")) == recorded
    owner.see("/review/needless")
    owner.see("/review/tables/needless.csv")
    assert owner.answer is not None
    visits = list(csv.DictReader(io.StringIO(owner.answer.text)))
    needless = next(one for one in told if one["what"] == "All reflashes that did not cure")
    assert sum(int(one["reflashes"]) for one in visits) == needless["count"]
