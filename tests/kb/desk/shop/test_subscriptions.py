"""Subscriptions are entered by anyone, corrected and removed by the lead and the owner, and leave a trail."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
from sqlmodel import col, select

from kb.desk.bay.concern import concerns
from kb.desk.bay.programming import programming
from kb.desk.context import Desk, RunningShop
from kb.desk.notes import notes
from kb.desk.shop import subscription_changes, subscription_doubts, subscriptions
from kb.desk.shop.subscriptions import SubscriptionDraft, SubscriptionKind, SubscriptionView
from kb.errors import BadInput, Conflict, NotAllowed, NotFound
from kb.nouns.concerns import ModuleResult, ProgrammingEventDraft, ReflashResult
from kb.records.tables import Trail
from tests.factories import a_concern, actor_of, an_update

DAY = date(2026, 10, 31)


def a_subscription(**said: Any) -> SubscriptionDraft:
    usual = {
        "make": "Norvane",
        "kind": SubscriptionKind.PROGRAMMING,
        "price_minor": 4_500,
        "bought_on": DAY,
        "ends_on": DAY,
    }
    return SubscriptionDraft(**usual | said)


def last_paid(desk: Desk, make: str, kind: SubscriptionKind) -> SubscriptionView | None:
    return subscriptions.newest_paid(subscriptions.bought_for(desk, make, kind), desk.today)


def program_under(desk: Desk, subscription_id: int) -> None:
    notes.write_note(desk, an_update())
    opened = concerns.open_concern(desk, a_concern())
    module = ModuleResult("PCM", ReflashResult.COMPLETED, 1, concern_ids=(opened.id,))
    event = ProgrammingEventDraft((module,), desk.today, subscription_id=subscription_id)
    programming.record_event(desk, event)


def trail_of(desk: Desk) -> list[tuple[str, str, dict[str, Any]]]:
    wanted = select(Trail).where(col(Trail.noun) == "subscription").order_by(col(Trail.id))
    return [(row.who, row.action, row.detail) for row in desk.session.exec(wanted)]


def test_a_corrected_subscription_counts_as_corrected_and_the_trail_keeps_both(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        made = subscriptions.add_subscription(desk, a_subscription(make="Norwane", price_minor=450_000))
    with shop.writing(actor_of(shop, "lead")) as desk:
        right = a_subscription(ends_on=DAY + timedelta(6), plan="week", remark="two seats")
        saved = subscription_changes.change_subscription(desk, made.id, made.version, right)
        assert (saved.content, saved.version) == (right, made.version + 1)
        again = subscription_changes.change_subscription(desk, made.id, saved.version, right)
        assert again == saved
    with shop.reading(actor_of(shop, "tech")) as desk:
        kind = SubscriptionKind.PROGRAMMING
        assert subscriptions.active_subscription(desk, "Norvane", kind, DAY + timedelta(6)) == saved
        assert last_paid(desk, "Norwane", kind) is None
        changes = {
            "make": ["Norwane", "Norvane"],
            "price_minor": [450_000, 4_500],
            "ends_on": ["2026-10-31", "2026-11-06"],
            "plan": ["", "week"],
            "remark": ["", "two seats"],
        }
        assert trail_of(desk)[1:] == [("lead", "corrected", changes)]


def test_of_two_who_correct_at_once_the_second_is_shown_what_the_first_saved(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        made = subscriptions.add_subscription(desk, a_subscription())
        subscription_changes.change_subscription(desk, made.id, 1, a_subscription(price_minor=5_400))
    with shop.writing(actor_of(shop, "owner")) as desk:
        with pytest.raises(Conflict) as refused:
            subscription_changes.change_subscription(desk, made.id, 1, a_subscription(plan="day"))
        assert refused.value.details["theirs"]["price_minor"] == 5_400
        assert refused.value.details["yours"]["plan"] == "day"
        with pytest.raises(Conflict, match="corrected this subscription meanwhile"):
            subscription_changes.remove_subscription(desk, made.id, 1)


def test_one_that_nothing_was_programmed_under_is_removed_and_remembered(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "owner")) as desk:
        made = subscriptions.add_subscription(desk, a_subscription(plan="day"))
        gone = subscription_changes.remove_subscription(desk, made.id, made.version)
        assert gone == made
        assert subscriptions.list_subscriptions(desk) == ()
    with shop.writing(actor_of(shop, "owner")) as desk:
        who, action, detail = trail_of(desk)[-1]
        assert (who, action, detail["price_minor"], detail["ends_on"]) == (
            *("owner", "removed"),
            *(4_500, "2026-10-31"),
        )
        with pytest.raises(NotFound):
            subscription_changes.remove_subscription(desk, made.id, made.version)
        assert subscriptions.add_subscription(desk, a_subscription()).id > made.id


def test_one_that_an_event_names_stays_and_the_refusal_says_what_to_do(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        made = subscriptions.add_subscription(desk, a_subscription())
        program_under(desk, made.id)
        with pytest.raises(Conflict, match=r"1 programming event names .* Correct what is wrong"):
            subscription_changes.remove_subscription(desk, made.id, made.version)
        assert subscriptions.list_subscriptions(desk) == (made,)
        wrong_days = a_subscription(bought_on=DAY + timedelta(1), ends_on=DAY + timedelta(3))
        moved = subscription_changes.change_subscription(desk, made.id, made.version, wrong_days)
        assert "not within its days: 1 of 1" in " ".join(subscription_doubts.doubts(desk, moved))


def test_technicians_add_and_do_not_correct_or_remove(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        made = subscriptions.add_subscription(desk, a_subscription())
        with pytest.raises(NotAllowed):
            subscription_changes.change_subscription(desk, made.id, made.version, a_subscription())
        with pytest.raises(NotAllowed):
            subscription_changes.remove_subscription(desk, made.id, made.version)


def test_a_subscription_runs_from_the_day_it_was_bought_through_its_last_day(shop: RunningShop) -> None:
    bought, ends = date(2026, 10, 1), date(2026, 10, 3)
    programming, information = SubscriptionKind.PROGRAMMING, SubscriptionKind.INFORMATION
    day = timedelta(days=1)
    with shop.writing(actor_of(shop, "tech")) as desk:
        made = subscriptions.add_subscription(
            desk, SubscriptionDraft("Norvane", programming, 4500, bought, ends)
        )
        runs = [
            subscriptions.active_subscription(desk, "norvane", programming, on)
            for on in (bought - day, bought, ends, ends + day)
        ]
        assert [one is not None for one in runs] == [False, True, True, False]
        assert subscriptions.active_subscription(desk, "Norvane", information, bought) is None
        assert subscriptions.active_subscription(desk, "Keldar", programming, bought) is None
        assert last_paid(desk, "NORVANE", programming) == made
        with pytest.raises(BadInput) as refused:
            subscriptions.add_subscription(desk, SubscriptionDraft("", programming, -1, ends, bought))
    assert set(refused.value.fields) == {"make", "price", "ends_on"}


@pytest.mark.parametrize("written", ["norvane", "NOR-VANE", "Nor Vane", "Nor\u2013vane"])
def test_a_make_is_the_same_in_any_writing(shop: RunningShop, written: str) -> None:
    """Case, spaces and hyphens are folded, as everywhere a make is compared."""
    with shop.writing(actor_of(shop, "lead")) as desk:
        made = subscriptions.add_subscription(desk, a_subscription(make=written))
        kind = SubscriptionKind.PROGRAMMING
        assert subscriptions.active_subscription(desk, "Norvane", kind, DAY) == made
        assert last_paid(desk, "nor-vane", kind) == made


def test_a_make_beyond_ascii_is_the_same_in_capitals(shop: RunningShop) -> None:
    """SQLite's own lower() and upper() leave Ö alone (sqlite.org/lang_corefunc.html, from memory)."""
    with shop.writing(actor_of(shop, "lead")) as desk:
        made = subscriptions.add_subscription(desk, a_subscription(make="ÖRVANE"))
        kind = SubscriptionKind.PROGRAMMING
        assert subscriptions.active_subscription(desk, "Örvane", kind, DAY) == made
        assert last_paid(desk, "örvane", kind) == made


@pytest.mark.parametrize(
    ("said", "field", "why"),
    [
        ({"make": " "}, "make", "needed"),
        ({"price_minor": -1}, "price", "not below 0"),
        ({"price_minor": 10**9}, "price", "below 10,000,000"),
        ({"bought_on": date(202, 10, 31)}, "bought_on", "check the year"),
        ({"bought_on": date(2036, 10, 31), "ends_on": date(2036, 10, 31)}, "bought_on", "check the year"),
        ({"ends_on": date(2206, 10, 31)}, "ends_on", "check the year"),
        ({"ends_on": DAY - timedelta(1)}, "ends_on", "not before"),
    ],
)
def test_what_cannot_be_is_refused_by_name_when_entered_and_when_corrected(
    shop: RunningShop, said: dict[str, Any], field: str, why: str
) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        with pytest.raises(BadInput) as entered:
            subscriptions.add_subscription(desk, a_subscription(**said))
        made = subscriptions.add_subscription(desk, a_subscription(price_minor=0))
        wrong = replace(made.content, **said)
        with pytest.raises(BadInput) as corrected:
            subscription_changes.change_subscription(desk, made.id, made.version, wrong)
    for refused in (entered.value, corrected.value):
        assert list(refused.fields) == [field]
        assert why in refused.fields[field]
