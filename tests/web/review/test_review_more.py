"""The review's pictures, files, subscriptions and comparisons."""

from __future__ import annotations

import csv
import io
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.desk.bay.advice import advice
from kb.desk.bay.programming import programming
from kb.desk.calls import what_was_heard
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.desk.review import review_csv
from kb.desk.shop import subscriptions
from kb.desk.shop.subscriptions import SubscriptionDraft, SubscriptionKind
from kb.intake.cells import read_cell
from kb.nouns.concerns import (
    FollowUpDraft,
    FollowUpResult,
    ModuleResult,
    ProgrammingEventDraft,
    ReflashResult,
    RoadTest,
)
from tests.conftest import StandingClock
from tests.factories import actor_of, an_update
from tests.kb.desk.imports.importing import history, take
from tests.web.conftest import SignIn


def read(text: str) -> list[list[str]]:
    return [[read_cell(cell) for cell in row] for row in csv.reader(io.StringIO(text))]


@given(st.lists(st.lists(st.text(), min_size=2, max_size=2), max_size=5))
def test_what_is_written_to_a_file_comes_back_equal_and_is_no_formula(rows: list[list[str]]) -> None:
    """What a spreadsheet takes for a formula: common practice, no source."""
    text = review_csv.written((("a", "b"), rows))
    assert read(text) == [["a", "b"], *rows]
    for row in csv.reader(io.StringIO(text)):
        assert not [cell for cell in row if cell[:1] in tuple("=+-@\t\r\n")]


@pytest.fixture
def told_of_everything(reflashed: RunningShop, clock: StandingClock) -> RunningShop:
    """The same shop with a subscription, and concern 1 advised on, reflashed and followed to its window."""
    with reflashed.writing(actor_of(reflashed, "lead")) as desk:
        draft = SubscriptionDraft("Norvane", SubscriptionKind.PROGRAMMING, 4500, desk.today, desk.today)
        subscriptions.add_subscription(desk, draft)
        advice.decide(desk, 1, "reflash", "the customer wants it first")
        module = ModuleResult("PCM", ReflashResult.COMPLETED, 1, concern_ids=(1,))
        event = ProgrammingEventDraft((module,), desk.today, road_test=RoadTest.GONE)
        programming.record_event(desk, event)
    clock.move(days=95)
    with reflashed.writing(actor_of(reflashed, "tech")) as desk:
        what_was_heard.record_follow_up(desk, 1, FollowUpDraft(FollowUpResult.FINE, desk.today))
    return reflashed


@pytest.mark.parametrize("name", [*review_csv.TABLES, *review_csv.OF_AN_UPDATE])
def test_every_table_can_be_taken_along_by_the_owner_and_by_no_technician(
    told_of_everything: RunningShop, signed_in: SignIn, name: str
) -> None:
    owner = signed_in("owner")
    owner.see(f"/review/tables/{name}.csv?note=1")
    assert owner.answer is not None
    assert owner.answer.headers["content-type"].startswith("text/csv")
    head, *rows = read(owner.answer.text)
    assert rows
    assert all(len(row) == len(head) for row in rows)
    signed_in("tech").see(f"/review/tables/{name}.csv?note=1", expect=403)
    owner.see("/review/tables/nothing.csv", expect=404)


def test_the_file_says_what_the_page_says(reflashed: RunningShop, signed_in: SignIn) -> None:
    """One cured, one back, one never asked: by hand."""
    owner = signed_in("owner")
    owner.see("/review/tables/reflashes.csv")
    assert owner.answer is not None
    head, first, shop = read(owner.answer.text)
    counts = ("tried", "comebacks", "overdue", "followed_to_window", "cure_rate")
    assert [first[head.index(one)] for one in counts] == ["3", "1", "1", "1", "0.5"]
    assert (first[0], shop[0]) == ("NV-24-101", "shop")
    assert all("of only 2 known" in owner.see(page).text for page in ("/review", "/review/updates/1"))


@pytest.mark.parametrize("name", ["funnel", "months"])
def test_every_picture_stands_beside_its_table_and_is_drawn_under_the_same_filter(
    reflashed: RunningShop, signed_in: SignIn, name: str
) -> None:
    owner = signed_in("owner")
    page = owner.see("/review?make=Norvane")
    [picture] = [one for one in page.all("svg") if one.get("aria-labelledby", "").startswith(name)]
    section = page.html.split(f'<details class="card" id="{name}"')[1].split('<details class="card"')[0]
    assert picture["aria-describedby"] in section
    assert "<table" in section
    assert f"/review/tables/{name}.csv?make=Norvane" in page.links
    other = owner.see("/review?make=Quellen")
    assert not [one for one in other.all("svg") if one.get("aria-labelledby", "").startswith(name)]


def test_the_vehicles_behind_an_update_lead_to_their_concerns(
    reflashed: RunningShop, signed_in: SignIn
) -> None:
    page = signed_in("owner").see("/review/updates/1")
    assert {"/concerns/2", "/concerns/3", "/concerns/4"} <= set(page.links)
    assert "came back, day 40" in page.text
    assert "not heard of" in page.text


def test_two_updates_side_by_side_warn_where_the_groups_differ(
    sqlite_shop: RunningShop, signed_in: SignIn
) -> None:
    with sqlite_shop.writing(actor_of(sqlite_shop, "lead")) as desk:
        for number in ("A-1", "B-2"):
            notes.write_note(desk, an_update(number=number))
    good = [{"ro_number": f"1{i}", "update": "A-1", "last_seen_on": "2026-09-01"} for i in range(12)]
    bad = [
        {"ro_number": f"2{i}", "update": "B-2", "make": "Quellen", "returned_on": "2026-03-20"}
        for i in range(12)
    ]
    take(sqlite_shop, "history", history(*good, *bad))
    owner = signed_in("owner")
    page = owner.see("/review/compare?first=1&second=2")
    assert "The groups differ by make" in page.text
    assert "100 points" in page.text
    assert "More cured in the first group than luck alone explains." in page.text
    taken = owner.client.get("/review/compare.csv?first=1&second=2").text.splitlines()
    title = an_update().title
    head, *rows = read("\n".join(taken))
    columns = ("group", "reflashes", "cured", "not_cured", "cure_rate", "conclusion")
    assert [[row[head.index(one)] for one in columns] for row in rows] == [
        [f"A-1 {title}", "12", "12", "0", "1.0", ""],
        [f"B-2 {title}", "12", "0", "12", "0.0", ""],
        [f"A-1 {title} less B-2 {title}", "", "", "", "1.0", "more than luck alone explains"],
    ]
    other_way = owner.see("/review/compare?first=2&second=1")
    assert "−100 points (−" in other_way.text
    assert "log-rank p under 0.001" in other_way.text
    before = owner.see("/review/compare?first=1&day=2026-02-01")
    assert "holds no vehicle" in before.text
    owner.see("/review/compare?first=1&second=1", expect=422)


def test_a_subscription_that_no_reflash_came_of_is_money_for_nothing(
    reflashed: RunningShop, signed_in: SignIn
) -> None:
    with reflashed.writing(actor_of(reflashed, "lead")) as desk:
        day = desk.today - timedelta(days=200)
        draft = SubscriptionDraft("Norvane", SubscriptionKind.PROGRAMMING, 4500, day, day, "one day")
        subscriptions.add_subscription(desk, draft)
    page = signed_in("owner").see("/review/subscriptions")
    assert "$45 went into subscriptions that ended without a reflash recorded" in " ".join(page.text.split())
    assert "1 × one day, 1 day" in page.text  # all three reflashes were done on one day
    signed_in("tech").see("/review/subscriptions", expect=403)
