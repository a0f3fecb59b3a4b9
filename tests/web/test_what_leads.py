"""What leads a page: one's own concerns, an open stop, the place where the next line waits."""

from __future__ import annotations

from kb.desk.bay.concern import concerns, facts
from kb.desk.bay.handover import clocks
from kb.desk.bay.programming import prep
from kb.desk.context import RunningShop
from kb.nouns.bay.clocks import ClockAsked, ClockKind
from tests.factories import a_concern, actor_of
from tests.web.browsing import Page
from tests.web.conftest import SignIn


def test_one_finds_what_one_has_in_hand_before_what_others_have(bay: RunningShop, signed_in: SignIn) -> None:
    with bay.writing(actor_of(bay, "lead")) as desk:
        concerns.open_concern(desk, a_concern(ro_number="2090", complaint="wipers stop"))
    with bay.writing(actor_of(bay, "tech")) as desk:
        mine = concerns.open_concern(desk, a_concern(ro_number="2091", complaint="radio dead")).id
        clocks.start_clock(desk, mine, ClockAsked(ClockKind.CHARGING))
    text = signed_in("tech").see("/concerns").text
    own, rest = text.index("Yours:"), text.index("Open, not yours")
    assert own < text.index("radio dead") < rest < text.index("wipers stop")
    assert text.count("radio dead") == 1


def test_an_open_stop_leads_and_says_below_what_it_holds_back(bay: RunningShop, signed_in: SignIn) -> None:
    tech = signed_in("tech")
    assert "that this update cures it" in tech.see("/concerns/1").html.partition('id="findings"')[0]
    with bay.writing(actor_of(bay, "tech")) as desk:
        facts.put_gate(desk, 1, "battery", "fault", "")
    told = tech.see("/concerns/1").html.partition('id="findings"')[0]
    assert "that this update cures it" not in told
    assert told.index("Stop: Battery or charging") < told.index("1 stop above: nothing is programmed before")
    assert "starts only past the stop" in told
    assert "asks for an override" in told


def folds(page: Page) -> dict[str, bool]:
    return {one["id"]: "open" in one for one in page.all("details") if one.get("id", "").startswith("place-")}


def test_of_a_list_to_prepare_the_place_with_the_next_line_is_open(
    bay: RunningShop, signed_in: SignIn
) -> None:
    tech, list_ = signed_in("tech"), "/concerns/1/prep"
    begun = folds(tech.see(list_))
    assert [place for place, is_open in begun.items() if is_open] == ["place-battery"]
    assert set(begun) == {"place-battery", "place-cabin", "place-computer"}
    for line, value in (("battery_rested", "12.7"), ("support_voltage", "13.5")):
        with bay.writing(actor_of(bay, "tech")) as desk:
            prep.tick(desk, 1, line, value)
    with bay.writing(actor_of(bay, "tech")) as desk:
        prep.pass_over(desk, 1, "support_unit_here", "borrowed one")
        prep.sign_place(desk, 1, "battery")
    left = folds(tech.see(list_))
    assert not left["place-battery"]
    assert sum(left.values()) == 1
