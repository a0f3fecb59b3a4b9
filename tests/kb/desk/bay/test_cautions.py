"""Cautions on a concern, and a vehicle that is not driven until a named person clears it."""

from __future__ import annotations

import pytest

from kb.desk.bay.advice import advice
from kb.desk.bay.concern import concerns, findings_shown
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.errors import BadInput
from kb.nouns.advice import Advice
from tests.factories import a_concern, actor_of, an_update
from tests.kb.desk.bay.replayed import kept_and_again

SURGE = "bucks light throttle uphill warm"


def opened(shop: RunningShop, complaint: str) -> Advice:
    with shop.writing(actor_of(shop, "lead")) as desk:
        notes.write_note(desk, an_update())
    with shop.writing(actor_of(shop, "tech")) as desk:
        concerns.open_concern(desk, a_concern(complaint=complaint))
    return advised(shop)


def advised(shop: RunningShop) -> Advice:
    with shop.reading(actor_of(shop, "tech")) as desk:
        return advice.give_advice(desk, 1)


def offered(shop: RunningShop) -> set[str]:
    with shop.reading(actor_of(shop, "tech")) as desk:
        return {one.key for one in findings_shown.list_findings(desk, 1)}


ROAD = {"bulletin_conditions", "like_vehicle", "same_shift", "converter_slip", "block_spread"}
"""Of the starting checks, those that shop_floor.md §4 describes as driving."""


def test_without_a_danger_checks_on_the_road_are_offered(sqlite_shop: RunningShop) -> None:
    told = opened(sqlite_shop, SURGE)
    assert told.cautions == ()
    assert offered(sqlite_shop) & ROAD


def test_do_not_drive_takes_the_road_away_until_a_named_person_clears_it(
    sqlite_shop: RunningShop,
) -> None:
    told = opened(sqlite_shop, f"{SURGE}, brake pedal sinks to the floor")
    assert [one.key for one in told.cautions] == ["do_not_drive"]
    assert told.candidates
    assert not offered(sqlite_shop) & ROAD
    with sqlite_shop.writing(actor_of(sqlite_shop, "tech")) as desk:
        advice.lift_stop(desk, 1, "do_not_drive", "new master cylinder, bled, pedal firm")
    after = advised(sqlite_shop)
    (caution,) = after.cautions
    assert (caution.cleared_by, caution.cleared_because) == ("tech", "new master cylinder, bled, pedal firm")
    assert offered(sqlite_shop) & ROAD


def test_a_danger_that_is_written_down_after_the_clearing_stands(sqlite_shop: RunningShop) -> None:
    opened(sqlite_shop, f"{SURGE}, brake pedal sinks to the floor")
    with sqlite_shop.writing(actor_of(sqlite_shop, "tech")) as desk:
        advice.lift_stop(desk, 1, "do_not_drive", "bled")
    with sqlite_shop.writing(actor_of(sqlite_shop, "tech")) as desk:
        more = a_concern(
            complaint=f"{SURGE}, brake pedal sinks to the floor", technician_words="fuel line leaking"
        )
        concerns.change_concern(desk, 1, 1, more)
    standing = [one.danger for one in advised(sqlite_shop).cautions if one.keeps_it_parked]
    assert standing == ["fuel"]


def test_a_clearing_needs_a_reason_and_something_to_clear(sqlite_shop: RunningShop) -> None:
    opened(sqlite_shop, SURGE)
    for reason, said in (("  ", "with a reason"), ("looked at it", "Nothing here says")):
        with pytest.raises(BadInput, match=said), sqlite_shop.writing(actor_of(sqlite_shop, "tech")) as desk:
            advice.lift_stop(desk, 1, "do_not_drive", reason)


def test_other_cautions_change_no_verdict(sqlite_shop: RunningShop) -> None:
    plain = opened(sqlite_shop, SURGE)
    with sqlite_shop.writing(actor_of(sqlite_shop, "tech")) as desk:
        concerns.change_concern(desk, 1, 1, a_concern(complaint=f"{SURGE}. Cel flashing"))
    told = advised(sqlite_shop)
    assert [one.key for one in told.cautions] == ["misfire"]
    assert told.verdict == plain.verdict
    assert offered(sqlite_shop) & ROAD


def test_a_frozen_decision_keeps_its_cautions_and_replays(sqlite_shop: RunningShop) -> None:
    told = opened(sqlite_shop, f"{SURGE}, brake pedal sinks to the floor")
    with sqlite_shop.writing(actor_of(sqlite_shop, "tech")) as desk:
        number = advice.decide(desk, 1, told.verdict.value)
    with sqlite_shop.reading(actor_of(sqlite_shop, "tech")) as desk:
        kept, again = kept_and_again(desk, number)
    assert kept.cautions == told.cautions
    assert again == kept
