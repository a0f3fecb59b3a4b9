"""The line of reflashes avoided, and what is asked for, counted by hand."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

import pytest

from kb.desk import (
    advice,
    closing,
    concerns,
    facts,
    findings,
    money_report,
    notes,
    programming,
    subscriptions,
)
from kb.desk.context import RunningShop
from kb.desk.reports import ReportFilter
from kb.desk.subscriptions import SubscriptionDraft, SubscriptionKind
from kb.nouns.concerns import Ending, FindingResult, ModuleResult, ProgrammingEventDraft, ReflashResult
from kb.nouns.vehicles import CalibrationReading, CalibrationSource, LookUp
from tests.conftest import StandingClock
from tests.factories import a_concern, an_update
from tests.kb.desk.importing import LEAD, history, take

pytestmark = pytest.mark.both_databases

REFLASH_MINOR = 15_900
"""By the settings that a shop starts with: 60 min at $150, in 3 of 100 a recovery of 60 min, in 5 of 1,000 a
module of $900."""

AGAINST_A_REFLASH = ("unnamed_code", "wiggle_test", "voltage_drop")
"""Checks whose yes speaks for another cause than the calibration, by the guesses a shop starts with."""


@dataclass(frozen=True)
class Told:
    """What is decided ("" nothing), how the concern ends, whether it is reflashed in the end."""

    did: str
    ending: Ending
    reflashed: bool = False


def live(shop: RunningShop, number: int, told: Told) -> None:
    with shop.writing(LEAD) as desk:
        concern = concerns.open_concern(desk, a_concern(ro_number=str(number))).id
        facts.put_calibration(desk, concern, CalibrationReading("PCM", "NV10A", CalibrationSource.READ))
        facts.put_look_up(desk, concern, LookUp("PCM", desk.today, "tech", "NV10B"))
        for check in AGAINST_A_REFLASH:
            findings.put_finding(desk, concern, check, FindingResult.YES)
        said = advice.give_advice(desk, concern)
        verdict = said.verdict.value
        assert (verdict, len(said.candidates)) == ("keep_diagnosing", 1)
        if told.did:
            advice.decide(desk, concern, told.did, "" if told.did == verdict else "customer wants it")
        if told.reflashed:
            module = ModuleResult("PCM", ReflashResult.COMPLETED, 1, concern_ids=(concern,))
            programming.record_event(desk, ProgrammingEventDraft((module,), desk.today))
        closing.close_concern(desk, concern, told.ending, other_cause="cracked intake hose")


def test_avoided_is_diagnosed_first_as_advised_with_another_cause_found_and_never_reflashed(
    shop: RunningShop,
) -> None:
    """Two of six: the second was decided twice and still counts once."""
    with shop.writing(LEAD) as desk:
        notes.write_note(desk, an_update())
    lives = (
        Told("keep_diagnosing", Ending.OTHER_CAUSE),
        Told("keep_diagnosing", Ending.OTHER_CAUSE),
        Told("keep_diagnosing", Ending.NOT_RESOLVED),
        Told("keep_diagnosing", Ending.OTHER_CAUSE, reflashed=True),
        Told("nothing", Ending.OTHER_CAUSE),
        Told("", Ending.OTHER_CAUSE),
    )
    for number, told in enumerate(lives, 1):
        live(shop, number, told)
    with shop.writing(LEAD) as desk:
        advice.decide(desk, 2, advice.give_advice(desk, 2).verdict.value)
        comebacks, not_cured, _, avoided = money_report.money_report(desk, ReportFilter())
    assert (avoided.count, avoided.amount_minor) == (2, 2 * REFLASH_MINOR)
    assert (comebacks.count, comebacks.amount_minor) == (1, 0)
    assert (not_cured.count, not_cured.amount_minor) == (1, REFLASH_MINOR)


@pytest.mark.parametrize(
    ("asked", "comebacks", "not_cured"),
    [
        (ReportFilter(), (2, 17_000), 3),
        (ReportFilter(make="norvane"), (1, 12_000), 2),
        (ReportFilter(make="Quellen"), (1, 5_000), 1),
        (ReportFilter(module="pcm"), (1, 12_000), 1),
        (ReportFilter(module="TCM"), (1, 5_000), 2),
        (ReportFilter(module="BCM"), (0, 0), 0),
    ],
)
def test_money_is_of_the_reflashes_asked_for(
    shop: RunningShop, asked: ReportFilter, comebacks: tuple[int, int], not_cured: int
) -> None:
    """A Norvane PCM came back for $120, a Norvane TCM was still there at road test, a Quellen TCM came back
    for $50; one more came back for $900 after other work in the same visit, which is apart.
    """
    back = {"returned_on": "2026-03-20"}
    quellen = {"make": "Quellen", "module": "TCM"}
    rows = (
        back | {"ro_number": "1", "cost": "120"},
        {"ro_number": "2", "module": "TCM", "gone_at_road_test": "no"},
        back | quellen | {"ro_number": "3", "cost": "50"},
        back | {"ro_number": "4", "cost": "900", "other_work": "plugs"},
    )
    take(shop, "history", history(*rows))
    with shop.reading(LEAD) as desk:
        found = money_report.money_report(desk, asked)
    assert (found[0].count, found[0].amount_minor) == comebacks
    assert (found[1].count, found[1].amount_minor) == (not_cured, not_cured * REFLASH_MINOR)


def test_a_report_of_an_earlier_day_knows_no_later_money(shop: RunningShop, clock: StandingClock) -> None:
    """Day by day: a subscription ends without a reflash on day 0, a diagnosis finds another cause on day 10,
    that vehicle is reflashed all the same on day 20, another subscription ends on day 30.
    """
    with shop.writing(LEAD) as desk:
        notes.write_note(desk, an_update())
        begin = desk.today
        for ends_after in (0, 30):
            ends_on = begin + timedelta(ends_after)
            draft = SubscriptionDraft("Norvane", SubscriptionKind.PROGRAMMING, 4_500, begin, ends_on)
            subscriptions.add_subscription(desk, draft)
    clock.move(days=10)
    live(shop, 1, Told("keep_diagnosing", Ending.OTHER_CAUSE))
    clock.move(days=10)
    with shop.writing(LEAD) as desk:
        module = ModuleResult("PCM", ReflashResult.COMPLETED, 1, concern_ids=(1,))
        programming.record_event(desk, ProgrammingEventDraft((module,), desk.today))
    clock.move(days=20)
    told = {}
    with shop.reading(LEAD) as desk:
        for day in (0, 1, 9, 10, 19, 20, 30, 31, 40, 300):
            lines = money_report.money_report(desk, ReportFilter(as_of=begin + timedelta(day)))
            told[day] = (lines[2].count, lines[2].amount_minor, lines[3].count)
        today = money_report.money_report(desk, ReportFilter())
    assert told == {
        0: (0, 0, 0),
        1: (1, 4_500, 0),
        9: (1, 4_500, 0),
        10: (1, 4_500, 1),
        19: (1, 4_500, 1),
        20: (1, 4_500, 0),
        30: (1, 4_500, 0),
        31: (2, 9_000, 0),
        40: (2, 9_000, 0),
        300: (2, 9_000, 0),
    }
    assert (today[2].count, today[3].count) == (2, 0)


def test_what_must_not_be_added_up_says_so(shop: RunningShop) -> None:
    with shop.reading(LEAD) as desk:
        _, not_cured, _, avoided = money_report.money_report(desk, ReportFilter())
    assert "these comebacks among them" in not_cured.what
    assert "comebacks of the line above are in this count too" in not_cured.rests_on
    assert "never add the two" in avoided.rests_on
