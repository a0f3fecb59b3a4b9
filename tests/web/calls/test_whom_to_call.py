"""What the review says of silence, and the vehicles to call: drawn for the day, one tap away."""

from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from kb.desk.calls import whom_to_call
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.concerns import HowHeard
from kb.nouns.people import Actor
from tests.conftest import StandingClock
from tests.factories import headers_of
from tests.kb.desk.imports.importing import history, take
from tests.web.browsing import Page, Visitor
from tests.web.conftest import SignIn

MUCH, LITTLE = "NV-24-101", "NV-24-102"
OWNER = Actor(0, "owner", "owner")


def rows(update: str, first: int, *said: dict[str, str]) -> list[dict[str, str]]:
    done = {"update": update, "opened_on": "2026-07-20", "reflashed_on": "2026-07-20"}
    return [done | {"ro_number": str(first + at)} | one for at, one in enumerate(said)]


@pytest.fixture
def told(sqlite_shop: RunningShop) -> RunningShop:
    """Much is known of one update, 2 of it are silent; of the other 1 vehicle, and 5 are silent.

    Of the comebacks 3 came unasked and 1 was found on asking.
    """
    fine, silent = {"last_seen_on": "2026-10-20"}, {"last_seen_on": ""}
    back = [
        {"returned_on": "2026-08-20", "heard": one} for one in ("unasked", "unasked", "unasked", "asked", "")
    ]
    data = history(
        *rows(MUCH, 100, *[fine] * 20, *back, silent, silent), *rows(LITTLE, 200, fine, *[silent] * 5)
    )
    assert [one.message for one in take(sqlite_shop, "history", data).errors] == [
        "33 reflashes do not say who did them: counted as done here."
    ]
    return sqlite_shop


def called(page: Page) -> list[str]:
    """Repair orders with an answer to tap, in the order of the list."""
    heads = re.findall(r'id="call-\d+"><a href="/concerns/\d+">RO (\d+)', page.html)
    return [*heads]


def test_the_review_says_what_silence_is_worth_and_by_which_calls(
    told: RunningShop, signed_in: SignIn
) -> None:
    """7 silent beside 21 followed and 1 found; a comeback without a word of how it was heard is in none."""
    review = signed_in("owner").see("/review")
    words = "3 were told unasked, 1 found on asking 22 of 29 silent: the rest taken alike, about"
    assert words in " ".join(review.text.split())
    assert "plain: cured at 90 days" in review.text
    chosen = signed_in("owner").see("/review?make=Norvane&from=2026-10-01")
    assert words in " ".join(chosen.text.split())
    assert "adjusted for silence and few vehicles" in review.text


def test_before_any_call_it_is_assumed(reflashed: RunningShop, signed_in: SignIn) -> None:
    page = signed_in("owner").see("/review/updates/1")
    assert (
        "Assumed: of failures about 8 in 10 (5 to 10 of 10) are told unasked; no call tells yet." in page.text
    )
    assert ", plain:" in page.text


def test_the_update_of_which_least_is_known_is_called_first_and_its_sample_stays_all_day(
    told: RunningShop, signed_in: SignIn, clock: StandingClock
) -> None:
    owner = signed_in("owner")
    review = owner.see("/review")
    [link] = [one for one in review.links if one.startswith("/follow-ups?update=")]
    assert "Call 3 of them" in review.text
    first = called(owner.see(link))
    assert len(first) == 3
    assert set(first) < {str(one) for one in range(201, 206)}
    assert called(owner.see(link)) == first
    action = next(one.action for one in owner.see(link).forms if one.action.endswith("/follow-up"))
    later = owner.send(link, action, {"result": "fine"})
    assert called(later)[:2] == first[1:]
    assert len(called(later)) == 3
    clock.move(days=1)
    assert len(called(signed_in("owner").see(link))) == 3


def test_who_was_tried_makes_room_for_the_next(told: RunningShop, signed_in: SignIn) -> None:
    tech = signed_in("tech")
    with told.reading(OWNER) as desk:
        found = whom_to_call.whom_to_call(desk)
    assert found is not None
    assert (found.number, found.due, found.worth.silent) == (LITTLE, 5, 5)
    link, action = f"/follow-ups?update={found.update}", f"/concerns/{found.calls[0].concern_id}/follow-up"
    refs = [one.ref.removeprefix("RO ").split("-")[0] for one in found.calls]
    assert called(tech.send(link, action, {"result": "no_answer"}))[:2] == refs[1:]


def test_a_vehicle_with_other_work_in_the_visit_is_asked_but_not_for_what_a_call_narrows(
    told: RunningShop, signed_in: SignIn
) -> None:
    """2 of NV-24-101 are silent; a third, with plugs in the same visit, is in no rate."""
    plugs = {"last_seen_on": "", "other_work": "spark plugs"}
    take(told, "history", history(*rows(MUCH, 300, plugs)))
    with told.reading(OWNER) as desk:
        [update] = [one.id for one in notes.list_notes(desk, notes.NoteFilter(text=MUCH)).lines]
        mine = whom_to_call.whom_to_call(desk, update)
    assert mine is not None
    assert (mine.due, mine.worth.silent) == (2, 2)
    assert "2 vehicles silent past their window" in signed_in("owner").see(f"/review/updates/{update}").text
    assert "RO 300-" in signed_in("owner").see("/follow-ups").text


def test_an_update_without_silent_vehicles_offers_no_call(reflashed: RunningShop) -> None:
    with reflashed.reading(OWNER) as desk:
        assert whom_to_call.whom_to_call(desk, 99) is None
        mine = whom_to_call.whom_to_call(desk, 1)
    assert mine is not None
    assert [one.concern_id for one in mine.calls] == [4]


def test_who_spoke_first_is_asked_and_kept(told: RunningShop, signed_in: SignIn, anybody: Visitor) -> None:
    tech = signed_in("tech")
    with told.reading(OWNER) as desk:
        found = whom_to_call.whom_to_call(desk)
    assert found is not None
    form = f"/concerns/{found.calls[0].concern_id}/follow-up"
    tech.send(form, form, {"result": "came_back", "seen_on": "2026-09-01", "heard": HowHeard.UNASKED.value})
    assert "4 were told unasked" in signed_in("owner").see("/review").text


def test_the_interface_tells_the_same(told: RunningShop, sqlite_client: TestClient) -> None:
    headers = headers_of(told, "owner")
    said = sqlite_client.get("/api/reports/reflashes", headers=headers).json()["told_unasked"]
    assert (said["unasked"], said["found"], said["reached"], said["silent"]) == (3, 1, 22, 29)
    assert 0 < said["low"] < said["share"] < said["high"] < 1
    assert said["sentence"].startswith("Of the failures of vehicles old enough to be called, 3 were")
