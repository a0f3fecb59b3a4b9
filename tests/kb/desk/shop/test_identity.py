"""The shop's own facts, and memory that does not outlive a rolled back transaction."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from kb.desk import settings
from kb.desk.context import CONSOLE, RunningShop
from kb.desk.shop import identity
from kb.errors import BadInput

pytestmark = pytest.mark.both_databases


def test_a_new_time_zone_moves_the_shops_day_at_once(shop: RunningShop) -> None:
    shop.clock = lambda: datetime(2026, 11, 1, 3, 0, tzinfo=UTC)
    with shop.writing(CONSOLE) as desk:
        assert desk.today == date(2026, 10, 31)
        identity.change_shop(desk, "North bay", "Europe/Berlin", "USD")
    with shop.reading(CONSOLE) as desk:
        assert (desk.shop.name, desk.today) == ("North bay", date(2026, 11, 1))


@pytest.mark.parametrize(
    ("name", "zone", "currency", "field"),
    [("", "UTC", "USD", "name"), ("A", "Mars/Base", "USD", "timezone"), ("A", "UTC", "dollars", "currency")],
)
def test_what_cannot_be_is_refused_by_field(
    shop: RunningShop, name: str, zone: str, currency: str, field: str
) -> None:
    with pytest.raises(BadInput) as refused, shop.writing(CONSOLE) as desk:
        identity.change_shop(desk, name, zone, currency)
    assert set(refused.value.fields) == {field}


def test_what_was_remembered_of_a_rolled_back_change_is_forgotten(shop: RunningShop) -> None:
    with shop.reading(CONSOLE) as desk:
        before = settings.current(desk).window_days
    with pytest.raises(BadInput):
        _change_and_be_refused(shop)
    with shop.writing(CONSOLE) as desk:
        settings.change_setting(desk, "window_miles", 4000, "trial")
    with shop.reading(CONSOLE) as desk:
        now = settings.current(desk)
    assert (now.window_days, now.window_miles) == (before, 4000)


def _change_and_be_refused(shop: RunningShop) -> None:
    with shop.writing(CONSOLE) as desk:
        settings.change_setting(desk, "window_days", 30, "trial")
        assert settings.current(desk).window_days == 30
        settings.change_setting(desk, "window_days", -1, "refused")
