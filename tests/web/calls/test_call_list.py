"""The call list as whoever calls uses it: one tap an answer, and none of them makes a cure of a comeback."""

from __future__ import annotations

from datetime import timedelta

import pytest

from kb.desk.bay.outcomes import counted
from kb.desk.calls import what_was_heard
from kb.desk.context import RunningShop
from kb.nouns.outcomes import Standing
from tests.conftest import StandingClock
from tests.factories import actor_of
from tests.web.browsing import Page, Visitor
from tests.web.conftest import SignIn

NEVER_ASKED = 4  # the third reflash of the fixture: reflashed 120 days ago, never heard of


def stands(shop: RunningShop) -> list[Standing]:
    with shop.reading(actor_of(shop, "lead")) as desk:
        found = counted.count(desk, desk.today).counts
    repeated = [s for s, n in zip(found.standing, found.count, strict=True) for _ in range(n)]
    return sorted(Standing(one) for one in repeated)


def tap(visitor: Visitor, result: str) -> Page:
    return visitor.send("/follow-ups", f"/concerns/{NEVER_ASKED}/follow-up", {"result": result})


def heard_at(visitor: Visitor) -> str:
    assert visitor.answer is not None
    return visitor.answer.url.path


@pytest.mark.parametrize(
    ("result", "standing"),
    [
        ("fine", Standing.FOLLOWED_TO_WINDOW),
        ("came_back", Standing.COMEBACK),
        ("other_cause", Standing.OTHER_CAUSE),
        ("new_complaint", Standing.OVERDUE),
        ("no_answer", Standing.OVERDUE),
    ],
)
def test_one_tap_after_the_window_counts_as_what_it_says(
    reflashed: RunningShop, signed_in: SignIn, result: str, standing: Standing
) -> None:
    before = stands(reflashed)
    tap(signed_in("tech"), result)
    rest = list(before)
    rest.remove(Standing.OVERDUE)
    assert stands(reflashed) == sorted([*rest, standing])


def test_a_bad_answer_asks_since_when_and_the_day_decides(
    reflashed: RunningShop, signed_in: SignIn, clock: StandingClock
) -> None:
    tech = signed_in("tech")
    assert "Since when?" in tap(tech, "came_back").text
    page = heard_at(tech)
    today = clock().date()
    early, late = str(today - timedelta(60)), str(today - timedelta(5))
    assert "Comeback counted" in tech.send(page, page, {"seen_on": early}).text
    assert Standing.OVERDUE not in stands(reflashed)
    assert "after the window" in tech.send(page, page, {"seen_on": late}).text
    assert stands(reflashed).count(Standing.COMEBACK) == 1
    assert "Comeback counted" in tech.send(page, page, {"seen_on": "", "nobody_knows": "yes"}).text
    assert "nobody knows since when" in tech.see(f"/concerns/{NEVER_ASKED}").text
    assert "came back, nobody knows since when" in signed_in("owner").see("/review/updates/1").text
    assert stands(reflashed).count(Standing.COMEBACK) == 2


def test_the_form_takes_no_bad_answer_without_its_day(reflashed: RunningShop, signed_in: SignIn) -> None:
    form, tech = f"/concerns/{NEVER_ASKED}/follow-up", signed_in("tech")
    before = stands(reflashed)
    refused = tech.send(form, form, {"result": "came_back", "remark": "stalls at lights"}, expect=422)
    assert "nobody knows" in refused.text
    assert "stalls at lights" in refused.html
    assert stands(reflashed) == before


def test_a_slip_names_its_vehicle_and_is_taken_back(reflashed: RunningShop, signed_in: SignIn) -> None:
    tech, before = signed_in("tech"), stands(reflashed)
    said = tap(tech, "fine")
    assert "33" in said.text.split("still fine")[0]
    back = next(one.action for one in said.forms if one.action.endswith("/take-back"))
    assert tech.answer is not None
    here = str(tech.answer.url).removeprefix(str(tech.client.base_url))
    assert "taken back" in tech.send(here, back).text
    assert stands(reflashed) == before
    tech.see(back.removesuffix("/take-back"), expect=404)


def test_who_was_tried_says_so_on_the_list(reflashed: RunningShop, signed_in: SignIn) -> None:
    tech = signed_in("tech")
    tap(tech, "no_answer")
    with reflashed.reading(actor_of(reflashed, "tech")) as desk:
        today = desk.today
    assert f"tried {today:%b} {today.day}" in tech.see("/follow-ups").text


def test_a_mistaken_still_fine_put_right_is_no_cure(reflashed: RunningShop, signed_in: SignIn) -> None:
    tech, rest = signed_in("tech"), stands(reflashed)
    rest.remove(Standing.OVERDUE)
    back = next(one for one in tap(tech, "fine").forms if one.action.endswith("/take-back")).action
    page = back.removesuffix("/take-back")
    for result in ("came_back", "other_cause"):
        refused = tech.send(page, page, {"result": result}, expect=422)
        assert "is the day of the answer before" in refused.text
    other_day = {"result": "came_back", "nobody_knows": "yes", "seen_on": "2026-12-01"}
    assert "take one of them out" in tech.send(page, page, other_day, expect=422).text
    tech.send(page, page, {"result": "came_back", "nobody_knows": "yes"})
    assert stands(reflashed) == sorted([*rest, Standing.COMEBACK])


def test_a_comeback_on_the_very_day_of_the_good_answer_is_saved_on_the_second_press(
    reflashed: RunningShop, signed_in: SignIn
) -> None:
    tech = signed_in("tech")
    back = next(one for one in tap(tech, "fine").forms if one.action.endswith("/take-back")).action
    page = back.removesuffix("/take-back")
    form = tech.send(page, page, {"result": "came_back"}, expect=422).form(page)
    answer = tech.client.post(page, data=form.fields)
    assert "after the window" in answer.text


def test_a_bad_answer_put_right_later_keeps_the_day_on_which_it_was_heard_of(
    reflashed: RunningShop, signed_in: SignIn, clock: StandingClock
) -> None:
    tech = signed_in("tech")
    tap(tech, "came_back")
    page, heard_on = heard_at(tech), clock().date()
    tech.send(page, page, {"seen_on": str(heard_on - timedelta(60))})
    clock.move(days=20)
    signed_in("tech").send(page, page, {"seen_on": "", "nobody_knows": "yes"})
    with reflashed.reading(actor_of(reflashed, "tech")) as desk:
        told = what_was_heard.read_follow_up(desk, int(page.rsplit("/", 1)[1]))
    assert (told.draft.day_known, told.draft.seen_on) == (False, heard_on)


def test_a_good_answer_beside_a_bad_one_says_that_the_bad_one_counts(
    reflashed: RunningShop, signed_in: SignIn
) -> None:
    tech = signed_in("tech")
    tap(tech, "came_back")
    form = f"/concerns/{NEVER_ASKED}/follow-up"
    said = tech.send(form, form, {"result": "fine"})
    assert "stands beside it and keeps counting" in said.text
