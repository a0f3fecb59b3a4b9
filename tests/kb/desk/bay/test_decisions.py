"""Decisions: what was advised, what was done and why not, frozen; replayed number for number."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from kb.desk import settings
from kb.desk.bay.advice import advice, turned_away
from kb.desk.bay.concern import closing, facts, findings
from kb.desk.bay.concern import concerns as concerns_desk
from kb.desk.bay.concern.as_it_stands import how_it_stands
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.programming import programming
from kb.desk.calls import what_was_heard
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.errors import BadInput
from kb.nouns.concerns import (
    Ending,
    FindingResult,
    FollowUpDraft,
    FollowUpResult,
    ModuleResult,
    ProgrammingEventDraft,
    ReflashResult,
    RoadTest,
)
from tests.factories import a_concern, actor_of
from tests.kb.desk.bay.replayed import kept_and_again
from tests.kb.desk.bay.test_stops_and_order import advised, open_case


def test_what_was_advised_done_and_why_not_is_kept(shop: RunningShop) -> None:
    concern = open_case(shop)
    verdict = advised(shop, concern).verdict.value
    with shop.writing(actor_of(shop, "tech")) as desk, pytest.raises(BadInput, match="Say why"):
        advice.decide(desk, concern, "sent_to_dealer")
    with shop.writing(actor_of(shop, "tech")) as desk:
        advice.decide(desk, concern, "sent_to_dealer", "dealer does it free")
        advice.decide(desk, concern, verdict)
    with shop.reading(actor_of(shop, "lead")) as desk:
        first, second = read_concern(desk, concern).decisions
    assert (first.did, first.followed, first.why_not) == ("sent_to_dealer", False, "dealer does it free")
    assert (second.did, second.followed, second.by, second.verdict) == (verdict, True, "tech", verdict)
    assert first.sentence == second.sentence


def test_a_concern_sent_to_the_dealer_says_why_where_it_is_called_closed(shop: RunningShop) -> None:
    """Why as tapped, and what it is free by where something on record says so."""
    concern, said = open_case(shop), []
    with shop.writing(actor_of(shop, "tech")) as desk:
        for why, free in (("no tool for it", "fine"), ("dealer does it free", "fine"), ("", "fault")):
            facts.put_gate(desk, concern, "warranty_checked", free)
            turned_away.send_to_dealer(desk, concern, why)
            said.append(how_it_stands(desk, concern).counted)
            closing.reopen_concern(desk, concern)
    assert said == [
        "sent to the dealer (no tool for it)",
        "sent to the dealer (dealer does it free)",
        "sent to the dealer (dealer does it free: coverage may apply)",
    ]


def test_a_decision_replays_to_the_same_numbers_after_the_shop_has_learned_more(
    shop: RunningShop, clock: Any
) -> None:
    """Guesses, counts, settings, notes and findings all change after it; the frozen inputs do not."""
    concern = open_case(shop)
    live_through(shop, clock, FollowUpResult.CAME_BACK)
    with shop.writing(actor_of(shop, "tech")) as desk:
        findings.put_finding(desk, concern, "smoke_test", FindingResult.NO)
        learned_then = advice.give_advice(desk, concern)
        taken = advice.decide(desk, concern, "nothing", "asked to wait")
    for result in (FollowUpResult.FINE, FollowUpResult.CAME_BACK):
        live_through(shop, clock, result)
    with shop.writing(actor_of(shop, "lead")) as desk:
        settings.change_setting(desk, "labor_rate_minor_per_hour", "210", "new rate")
        update = notes.read_note(desk, 1)
        notes.retire_note(desk, update.id, update.version, "withdrawn")
        findings.put_finding(desk, concern, "smoke_test", FindingResult.YES)
    with shop.reading(actor_of(shop, "tech")) as desk:
        kept, again = kept_and_again(desk, taken)
    assert again == kept == learned_then
    assert kept != advised(shop, concern)


def live_through(shop: RunningShop, clock: Any, result: FollowUpResult) -> None:
    """Another vehicle reflashed with the same update, and what was heard of it."""
    tech = actor_of(shop, "tech")
    with shop.writing(tech) as desk:
        number = f"{desk.now:%m%d%H%M}"
        concern = concerns_desk.open_concern(desk, a_concern(ro_number=number)).id
        findings.put_finding(desk, concern, "smoke_test", FindingResult.NO)
    clock.now += timedelta(minutes=1)
    with shop.writing(tech) as desk:
        done = ModuleResult("PCM", ReflashResult.COMPLETED, 1, concern_ids=(concern,))
        programming.record_event(desk, ProgrammingEventDraft((done,), desk.today, road_test=RoadTest.GONE))
    clock.move(days=91 if result is FollowUpResult.FINE else 20)
    with shop.writing(tech) as desk:
        what_was_heard.record_follow_up(desk, concern, FollowUpDraft(result, desk.today))
        if result is FollowUpResult.CAME_BACK:
            closing.close_concern(desk, concern, Ending.OTHER_CAUSE, other_cause="cracked hose")
    clock.now += timedelta(minutes=1)
