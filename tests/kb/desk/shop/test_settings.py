from __future__ import annotations

from dataclasses import fields
from typing import Any

import pytest

from kb.desk import settings, shop_settings
from kb.desk.context import RunningShop
from kb.desk.setting_definitions import BY_KEY, DEFINITIONS
from kb.errors import BadInput, Conflict, NotAllowed, NotFound
from kb.nouns.advice_settings import AdviceSettings, CostSettings
from kb.nouns.currency import to_major, to_minor
from kb.nouns.people import Actor

OWNER = Actor(0, "maria", "owner")


def test_every_setting_has_a_typed_field_a_label_and_a_line_that_says_where_it_comes_from() -> None:
    assert {one.name for one in fields(shop_settings.ShopSettings)} == set(BY_KEY)
    assert len(BY_KEY) == len(DEFINITIONS)
    unsaid = [one.key for one in DEFINITIONS if not (one.label and one.source_line and one.group)]
    assert unsaid == []


def test_a_new_shop_starts_from_the_guesses_that_the_advice_starts_from(shop: RunningShop) -> None:
    """The advice has defaults of its own, written by somebody else from the same pages."""
    with shop.reading(OWNER) as desk:
        now = settings.current(desk)
    told = now.cost_settings("USD")
    # 0 in the advice's own default: not said, or of advice frozen before waiting had a price
    differing = {"subscription_fee", "waiting_rate", "quickest_first"}
    for one in fields(CostSettings):
        if one.name not in differing:
            assert getattr(told, one.name) == getattr(CostSettings(), one.name), one.name
    learning = now.advice_settings("USD")
    for one in fields(AdviceSettings):
        if one.name not in differing:
            assert getattr(learning, one.name) == getattr(AdviceSettings(), one.name), one.name
    assert (told.waiting_rate, learning.quickest_first) == (5.0, True)
    assert (now.window_rule().days, now.window_rule().miles, now.window_rule().usual_gaps) == (90, 3000, 3)


def test_a_change_holds_from_the_next_request_on_and_says_who_and_why(shop: RunningShop) -> None:
    with shop.reading(OWNER) as desk:
        assert settings.current(desk).labor_rate_minor_per_hour == 15000
    with shop.writing(OWNER) as desk:
        settings.change_setting(desk, "labor_rate_minor_per_hour", "149.50", "door rate since June")
        settings.change_setting(desk, "module_prices_minor", "ecm = 1,150\nTCM=980.50", "last invoices")
    with shop.reading(OWNER) as desk:
        now = settings.current(desk)
        view = next(v for v in settings.list_settings(desk) if v.definition.key.startswith("labor_rate"))
    assert now.labor_rate_minor_per_hour == 14950
    assert now.cost_settings("USD").labor_rate == 149.5
    prices = [now.module_price_minor_of(module) for module in ("ECM", "tcm ", "BCM")]
    assert prices == [115000, 98050, 90000]
    assert (view.author, view.source_line, view.version) == ("maria", "door rate since June", 1)


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("labor_rate_minor_per_hour", "-1"),
        ("labor_rate_minor_per_hour", "a lot"),
        ("labor_rate_minor_per_hour", "nan"),
        ("module_lost_chance", 1.01),
        ("window_days", 90.5),
        ("window_days", 0),
        ("prior_weight", 0),
        ("module_prices_minor", "ECM"),
    ],
)
def test_a_value_that_cannot_be_is_refused_by_name(shop: RunningShop, key: str, value: Any) -> None:
    with shop.writing(OWNER) as desk, pytest.raises(BadInput) as refused:
        settings.change_setting(desk, key, value, "")
    assert key in refused.value.fields


def test_technicians_read_settings_and_do_not_change_them(sqlite_shop: RunningShop) -> None:
    with sqlite_shop.writing(Actor(0, "tom", "tech")) as desk:
        assert len(settings.list_settings(desk)) == len(DEFINITIONS)
        with pytest.raises(NotAllowed):
            settings.change_setting(desk, "window_days", 60, "")
    with sqlite_shop.writing(OWNER) as desk, pytest.raises(NotFound):
        settings.change_setting(desk, "window_weeks", 12, "")


def test_the_second_of_two_changes_to_one_setting_learns_of_the_first(sqlite_shop: RunningShop) -> None:
    with sqlite_shop.writing(OWNER) as desk:
        settings.change_setting(desk, "window_days", 60, "", version=0)
        with pytest.raises(Conflict) as stale:
            settings.change_setting(desk, "window_days", 120, "", version=0)
    assert (stale.value.details["yours"], stale.value.details["theirs"]) == (120, 60)


def test_money_is_rounded_as_it_is_written_and_by_the_decimals_of_its_currency() -> None:
    """1.005 is 1.00499... as a float; a person wrote half a cent. ISO 4217 (from memory): JPY 0, KWD 3."""
    assert [to_minor(1.005, code) for code in ("USD", "JPY", "KWD")] == [101, 1, 1005]
    assert [to_major(1005, code) for code in ("USD", "JPY", "KWD")] == [10.05, 1005.0, 1.005]


@pytest.mark.parametrize("typed", ["1001", "-1", "0,5"])
def test_a_labor_rate_that_nobody_charges_is_refused_with_its_range(typed: str) -> None:
    with pytest.raises(BadInput) as refused:
        settings.parsed_value(BY_KEY["labor_rate_minor_per_hour"], typed, "USD")
    assert typed == "0,5" or "from 0 to 1,000" in refused.value.message


def test_a_share_may_be_typed_in_percent_and_a_comma_never_makes_it_ten_times_as_much() -> None:
    share = BY_KEY["road_test_failure_share"]
    assert settings.parsed_value(share, "60%", "USD") == settings.parsed_value(share, "0.6", "USD") == 0.6
    for typed in ("0,5", "160%", "%"):
        with pytest.raises(BadInput):
            settings.parsed_value(share, typed, "USD")
