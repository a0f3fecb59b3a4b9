"""Numbers and days that no database holds are refused in a sentence, wherever an address takes one."""

from __future__ import annotations

from urllib.parse import quote

import pytest
from starlette.testclient import TestClient

from kb.desk.context import RunningShop
from tests.factories import headers_of
from tests.web.conftest import SignIn

HUGE = ("9" * 20, "9" * 5000, "-1", "0x10", "²", "1e9")
PAGES = (
    "/review?window_days={}",
    "/review/compare?first={}&second=1",
    "/review/compare?first=1&second={}",
    "/review/tables/vehicles.csv?note={}",
    "/review/tables/reflashes.csv?window_days={}",
    "/review/tables/funnel.csv?window_days={}",
    "/concerns/1/prep?update={}",
    "/concerns/1/programming?update={}",
    "/concerns/1/evidence/grade?update={}",
    "/search?q=stall&year={}",
    "/review/updates/{}",
    "/imports/waiting/{}",
)
DAYS = (
    "/review?from={}",
    "/review?as_of={}",
    "/review/compare?first=1&day={}",
    "/review/tables/reflashes.csv?to={}",
)
INTERFACE = (
    "/api/search?q=stall&year={}",
    "/api/search?q=stall&limit={}",
    "/api/reports/reflashes?window_days={}",
    "/api/concerns/{}",
    "/api/notes/{}",
    "/api/imports/{}",
)


@pytest.mark.parametrize("address", PAGES)
def test_a_page_refuses_an_endless_number_without_breaking(
    reflashed: RunningShop, signed_in: SignIn, address: str
) -> None:
    owner = signed_in("owner")
    for number in HUGE:
        answer = owner.client.get(address.format(quote(number)))
        assert 400 <= answer.status_code < 500, f"{address} {number[:30]}: {answer.status_code}"


@pytest.mark.parametrize("address", DAYS)
def test_a_page_refuses_a_day_at_the_end_of_the_calendar(
    reflashed: RunningShop, signed_in: SignIn, address: str
) -> None:
    owner = signed_in("owner")
    for day in ("0001-01-01", "9999-12-31", "2026-02-30", "2026-1-1", "20260101T00"):
        answer = owner.client.get(address.format(day))
        assert answer.status_code == 422, f"{address} {day}: {answer.status_code}"


@pytest.mark.parametrize("address", INTERFACE)
def test_the_interface_refuses_an_endless_number_without_breaking(
    sqlite_client: TestClient, sqlite_shop: RunningShop, address: str
) -> None:
    headers = headers_of(sqlite_shop, "owner")
    for number in HUGE:
        answer = sqlite_client.get(address.format(quote(number)), headers=headers)
        assert 400 <= answer.status_code < 500, f"{address} {number[:30]}: {answer.status_code}"
        assert answer.json()["error"]["message"]


@pytest.mark.parametrize("day", ["0001-01-01", "9999-12-31"])
def test_the_interface_answers_for_any_day_of_the_calendar(
    sqlite_client: TestClient, reflashed: RunningShop, day: str
) -> None:
    headers = headers_of(reflashed, "owner")
    for address in (f"/api/follow-ups?due={day}", f"/api/reports/reflashes?as_of={day}&from={day}"):
        assert sqlite_client.get(address, headers=headers).status_code in {200, 422}, address
