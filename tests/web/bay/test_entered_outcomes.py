"""Outcomes entered with a tap: at the road test, when the vehicle is here again, and on the start page."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from kb.desk.bay.concern import concerns
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.outcomes import counted
from kb.desk.bay.programming import programming
from kb.desk.calls import call_list, what_was_heard
from kb.desk.context import RunningShop
from kb.nouns.concerns import (
    FollowUpResult,
    HowHeard,
    ModuleResult,
    ProgrammingEventDraft,
    ReflashResult,
    RoadTest,
)
from kb.nouns.outcomes import Standing
from tests.bench import taps
from tests.conftest import StandingClock
from tests.factories import a_concern, a_vehicle, actor_of
from tests.web.browsing import Page, Visitor
from tests.web.conftest import SignIn

VIN = "XV1FB3A28K8210341"
EARLIER = 1


@pytest.fixture
def programmed(bay: RunningShop) -> RunningShop:
    """Concern 1 was just programmed with note 1; nobody drove it yet."""
    with bay.writing(actor_of(bay, "tech")) as desk:
        module = ModuleResult("PCM", ReflashResult.COMPLETED, 1, concern_ids=(EARLIER,))
        programming.record_event(desk, ProgrammingEventDraft((module,), desk.today))
    return bay


@pytest.fixture
def again(programmed: RunningShop, clock: StandingClock) -> int:
    """Its road test was fine, and 40 days later it is here with another repair order."""
    with programmed.writing(actor_of(programmed, "tech")) as desk:
        programming.record_road_test(desk, EARLIER, RoadTest.GONE)
        same = a_concern(vehicle=a_vehicle(vin=VIN), odometer=79_800)
        concerns.change_concern(desk, EARLIER, read_concern(desk, EARLIER).version, same)
    clock.move(days=40)
    with programmed.writing(actor_of(programmed, "tech")) as desk:
        draft = a_concern(ro_number="3010", complaint="squeaks over bumps", vehicle=a_vehicle(vin=VIN))
        return concerns.open_concern(desk, draft).id


def road_test(shop: RunningShop) -> str:
    with shop.reading(actor_of(shop, "tech")) as desk:
        return read_concern(desk, EARLIER).installed[-1].road_test


def stands(shop: RunningShop) -> Counter[Standing]:
    with shop.reading(actor_of(shop, "lead")) as desk:
        found = counted.count(desk, desk.today).counts
    every = zip(found.standing.tolist(), found.count.tolist(), strict=True)
    return Counter({Standing(one): number for one, number in every})


def heard(shop: RunningShop) -> list[FollowUpResult]:
    with shop.reading(actor_of(shop, "tech")) as desk:
        return [one.said.result for one in read_concern(desk, EARLIER).follow_ups]


def say(visitor: Visitor, visit: int, said: str, expect: int = 200) -> Page:
    action = f"/concerns/{visit}/earlier/{EARLIER}"
    return visitor.send(f"/concerns/{visit}", action, {"said": said}, expect)


def test_the_road_test_is_one_tap_on_the_release_page_and_on_the_paper_before_it_is_printed(
    programmed: RunningShop, signed_in: SignIn
) -> None:
    tech, action = signed_in("tech"), f"/concerns/{EARLIER}/road-test"
    for page in (f"/concerns/{EARLIER}/release", f"/concerns/{EARLIER}/paper", f"/concerns/{EARLIER}"):
        buttons = [one.get("value") for one in tech.see(page).form(action).buttons]
        assert buttons == ["gone", "still_there", "cannot_say"]
    said = tech.send(f"/concerns/{EARLIER}/release", action, {"road_test": "still_there"})
    assert road_test(programmed) == "still_there"
    assert "Your answer moved NV-24-101 from 5 in 10 to" in said.text
    assert stands(programmed) == {Standing.FAILED_AT_ROAD_TEST: 1}


def test_a_road_test_of_an_old_page_is_refused_once_and_can_be_put_right(
    programmed: RunningShop, signed_in: SignIn
) -> None:
    tech, other, action = signed_in("tech"), signed_in("lead"), f"/concerns/{EARLIER}/road-test"
    fields = tech.see(f"/concerns/{EARLIER}/release").form(action).fields
    other.send(f"/concerns/{EARLIER}/release", action, {"road_test": "gone"})
    late = tech.client.post(action, data=fields | {"road_test": ["still_there"]})
    assert late.status_code == 409
    assert "On file now: gone" in Page(late.text).text
    assert road_test(programmed) == "gone"
    tech.client.post(action, data=Page(late.text).form(action).fields | {"road_test": ["still_there"]})
    assert road_test(programmed) == "still_there"


def test_two_quick_taps_are_one_answer(programmed: RunningShop, again: int, signed_in: SignIn) -> None:
    tech, action = signed_in("tech"), f"/concerns/{again}/earlier/{EARLIER}"
    form = tech.see(f"/concerns/{again}").form(action).fields
    newer = tech.see(f"/concerns/{again}").form(action).fields
    for fields in (form, form, newer):
        assert tech.client.post(action, data=fields | {"said": ["still_fixed"]}).status_code == 200
    assert heard(programmed) == [FollowUpResult.FINE]


@pytest.mark.parametrize(
    ("said", "result", "words"),
    [
        ("still_fixed", FollowUpResult.FINE, "Counted; NV-24-101 still"),
        ("not_asked", FollowUpResult.SEEN_NOT_ASKED, "makes no cure"),
        ("came_back", FollowUpResult.CAME_BACK, "Since when?"),
    ],
)
def test_a_later_order_asks_first_and_one_tap_answers(
    programmed: RunningShop, again: int, signed_in: SignIn, said: str, result: FollowUpResult, words: str
) -> None:
    tech = signed_in("tech")
    page = tech.see(f"/concerns/{again}")
    assert page.text.index("is it still fixed?") < page.text.index("Vehicle facts")
    assert words in say(tech, again, said).text
    assert heard(programmed) == [result]


def test_the_day_of_a_comeback_is_asked_after_the_tap_and_leads_back_to_the_visit(
    programmed: RunningShop, again: int, signed_in: SignIn, clock: StandingClock
) -> None:
    tech = signed_in("tech")
    page = say(tech, again, "came_back")
    assert f"/concerns/{again}" in page.links
    here = tech.answer.url.path if tech.answer else ""
    after = tech.send(here, here, {"seen_on": str(clock().date()), "cost": "120"})
    assert "same concern came back" in after.text
    assert tech.answer is not None
    assert tech.answer.url.path == f"/concerns/{again}"
    assert stands(programmed) == {Standing.COMEBACK: 1}


def test_another_answer_of_an_old_page_is_refused_and_what_was_said_is_changed_or_taken_back(
    programmed: RunningShop, again: int, signed_in: SignIn
) -> None:
    tech, lead, action = signed_in("tech"), signed_in("lead"), f"/concerns/{again}/earlier/{EARLIER}"
    old = tech.see(f"/concerns/{again}").form(action).fields
    say(lead, again, "still_fixed")
    late = tech.client.post(action, data=old | {"said": ["came_back"]})
    assert late.status_code == 409
    page = Page(late.text)
    assert "another answer meanwhile" in page.text
    change = next(link for link in page.links if link.startswith("/follow-ups/"))
    tech.send(change, f"{change}/take-back")
    assert tech.answer is not None
    assert tech.answer.url.path == f"/concerns/{again}"
    assert heard(programmed) == []
    assert "is it still fixed?" in tech.see(f"/concerns/{again}").text


def test_a_like_complaint_asks_whether_it_is_the_old_one_and_yes_reopens_it(
    programmed: RunningShop, again: int, signed_in: SignIn
) -> None:
    tech = signed_in("tech")
    tech.send(f"/concerns/{EARLIER}/close", f"/concerns/{EARLIER}/close", {"ending": "cured_by_reflash"})
    form = {"ro_number": "3011", "complaint": "still bucks going uphill", "vin": VIN}
    page = tech.send("/concerns/new", "/concerns/new", form)
    visit = again + 1
    assert "Is this the old concern back?" in page.text
    assert "both say: bucks" in page.text
    said = say(tech, visit, "old_one")
    assert "it is back. Comeback counted." in said.text
    with programmed.reading(actor_of(programmed, "tech")) as desk:
        old = read_concern(desk, EARLIER)
        told = what_was_heard.read_follow_up(desk, old.follow_ups[-1].id)
    assert (old.state, told.draft.heard, told.at_visit) == ("open", HowHeard.UNASKED, visit)
    assert stands(programmed) == {Standing.COMEBACK: 1}


def test_three_calls_a_morning_promised_ones_first_and_what_they_moved(
    reflashed: RunningShop, signed_in: SignIn, clock: StandingClock
) -> None:
    """The fixture's third vehicle was never asked; three more join it, one with a promised call."""
    tech = actor_of(reflashed, "tech")
    clock.move(days=-120)
    for number in ("34", "35", "36"):
        with reflashed.writing(tech) as desk:
            opened = concerns.open_concern(desk, a_concern(ro_number=number))
            module = ModuleResult("PCM", ReflashResult.COMPLETED, 1, concern_ids=(opened.id,))
            programming.record_event(
                desk, ProgrammingEventDraft((module,), desk.today, road_test=RoadTest.GONE)
            )
    clock.move(days=120)
    visitor = signed_in("tech")
    with reflashed.writing(tech) as desk:
        call_list.promise_call(desk, 7, desk.today)
    calls = [one.action for one in visitor.see("/concerns").forms if one.action.endswith("/follow-up")]
    assert len(calls) == 3
    assert calls[0] == "/concerns/7/follow-up"
    said = [visitor.send("/concerns", calls[0], {"result": "no_answer"}).text]
    said += [visitor.send("/concerns", action, {"result": "came_back"}).text for action in calls[1:]]
    assert "no answer" in said[0]
    assert "Your answer moved NV-24-101 from 7 in 10 to" in said[1]
    assert "Your 2 answers today moved NV-24-101 from 7 in 10 to" in said[2]
    page = visitor.see("/concerns")
    assert "3 calls made today" in page.text
    assert not [one for one in page.forms if one.action.endswith("/follow-up")]


def test_four_in_five_outcomes_of_a_simulated_shop_take_two_taps_or_fewer_and_are_kept_as_told(
    tmp_path: Path,
) -> None:
    course = taps.run(tmp_path, vehicles=10, seed=3)
    told = taps.outcomes(course.finger.entered)
    assert len(told) >= 15
    assert taps.share_within(told) >= 0.8
    said = Counter(one.said for one in told if one.way != "road test at release")
    kept: Counter[str] = Counter()
    with course.shop.reading(actor_of(course.shop, "tech")) as desk:
        for concern in course.concern.values():
            kept.update(str(one.said.result.value) for one in read_concern(desk, concern).follow_ups)
    assert kept["came_back"] == said["came_back"]
    assert kept["fine"] == said["fine"] + said["still_fixed"]
    course.shop.close()
