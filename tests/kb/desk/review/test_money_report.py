"""What comebacks, needless reflashes and subscriptions cost, and what was avoided, counted by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import pytest

from kb.desk.bay.advice import advice
from kb.desk.bay.concern import closing, concerns, facts, findings
from kb.desk.bay.programming import money, programming
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.desk.review import money_report, needless_reflashes
from kb.desk.review.month.report import month_report
from kb.desk.review.reports import ReportFilter
from kb.desk.shop import subscriptions
from kb.desk.shop.subscriptions import SubscriptionDraft, SubscriptionKind
from kb.nouns.bay.customer_word import AuthorizationDraft
from kb.nouns.concerns import (
    Ending,
    FindingResult,
    ModuleResult,
    ProgrammingEventDraft,
    ReflashResult,
    RoadTest,
)
from kb.nouns.vehicles import CalibrationReading, CalibrationSource, LookUp
from tests.conftest import StandingClock
from tests.factories import a_concern, an_update
from tests.kb.desk.imports.importing import LEAD, history, take

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
        lines = money_report.money_report(desk, ReportFilter())
    assert (lines[-1].count, lines[-1].amount_minor) == (2, 2 * REFLASH_MINOR)
    assert sums(lines) == [(1, 0), (1, 0)]
    assert lines[0].rests_on == "what the shop bore, as recorded; 1 of 1 have no amount on file"
    assert lines[5].rests_on == "the lines above; 1 of 1 have no amount on file"


@pytest.mark.parametrize(
    ("asked", "comebacks", "not_cured"),
    [
        (ReportFilter(), (4, 108_000), 4),
        (ReportFilter(make="norvane"), (3, 103_000), 3),
        (ReportFilter(make="Quellen"), (1, 5_000), 1),
        (ReportFilter(module="pcm"), (3, 103_000), 2),
        (ReportFilter(module="TCM"), (1, 5_000), 2),
        (ReportFilter(module="BCM"), (0, 0), 0),
    ],
)
def test_money_is_of_the_reflashes_asked_for(
    shop: RunningShop, asked: ReportFilter, comebacks: tuple[int, int], not_cured: int
) -> None:
    """A Norvane PCM came back for $120, a Norvane TCM was still there at road test, a Quellen TCM came back
    for $50; one more came back for $900 after other work in the same visit, and another for $10 a year
    after its window: that one is in no rate and was no needless reflash, and cost all the same.
    """
    back = {"returned_on": "2026-03-20"}
    quellen = {"make": "Quellen", "module": "TCM"}
    rows = (
        back | {"ro_number": "1", "cost": "120"},
        {"ro_number": "2", "module": "TCM", "gone_at_road_test": "no"},
        back | quellen | {"ro_number": "3", "cost": "50"},
        back | {"ro_number": "4", "cost": "900", "other_work": "plugs"},
        {"ro_number": "5", "cost": "10", "returned_on": "2026-10-20"},
    )
    take(shop, "history", history(*rows))
    with shop.reading(LEAD) as desk:
        found = money_report.money_report(desk, asked)
    assert sums(found) == [comebacks, (not_cured, 0)]


def test_what_came_in_a_period_is_told_beside_what_its_reflashes_cost(shop: RunningShop) -> None:
    """By hand, of five: reflashed on Mar 2, two came back in March ($120) and May ($900, after other work);
    on Apr 10, in May ($50, Quellen); on May 1, in June ($10), and one cured. The month says the same.
    """
    quellen = {"make": "Quellen", "opened_on": "2026-04-09", "reflashed_on": "2026-04-10"}
    may = {"opened_on": "2026-05-01", "reflashed_on": "2026-05-01"}
    rows = (
        {"ro_number": "1", "cost": "120", "returned_on": "2026-03-20"},
        {"ro_number": "2", "cost": "900", "returned_on": "2026-05-10", "other_work": "plugs"},
        quellen | {"ro_number": "3", "cost": "50", "returned_on": "2026-05-04"},
        may | {"ro_number": "4", "cost": "10", "returned_on": "2026-06-02"},
        may | {"ro_number": "5"},
    )
    take(shop, "history", history(*rows))
    first, last = date(2026, 5, 1), date(2026, 5, 31)

    def told(**asked: Any) -> list[tuple[int, int]]:
        """What came in the days, and what the reflashes of the days cost."""
        lines = {one.what: one for one in money_report.money_report(desk, ReportFilter(**asked))}
        names = (money_report.CAME_IN, money_report.ALL_COMEBACKS)
        return [(one.count, one.amount_minor) for name in names if (one := lines.get(name))]

    with shop.reading(LEAD) as desk:
        assert told(since=first, until=last) == [(2, 95_000), (1, 1_000)]
        assert told(since=first, until=last, make="norvane") == [(1, 90_000), (1, 1_000)]
        assert told(since=first, until=last, as_of=date(2026, 5, 5)) == [(1, 5_000), (0, 0)]
        assert told(until=date(2026, 4, 30)) == [(1, 12_000), (3, 107_000)]
        assert told(since=first) == [(3, 96_000), (1, 1_000)]
        assert told() == [(4, 108_000)]
        assert told(since=first, module="PCM") == [(1, 1_000)]
        assert month_report(desk, first).total.comeback_minor == 95_000


def sums(lines: Sequence[money_report.MoneyLine]) -> list[tuple[int, int]]:
    """The sums, each of the amounts of the lines above it, added up here."""
    found, above = [], 0
    for one in lines:
        if one.is_sum:
            assert one.amount_minor == above
            found.append((one.count, one.amount_minor))
        above = 0 if one.is_sum else above + one.amount_minor
    return found


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
            told[day] = (lines[-2].count, lines[-2].amount_minor, lines[-1].count)
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
    assert (today[-2].count, today[-1].count) == (2, 0)


def test_what_must_not_be_added_up_says_so(shop: RunningShop) -> None:
    with shop.reading(LEAD) as desk:
        *_, avoided = money_report.money_report(desk, ReportFilter())
    assert "never add the two" in avoided.rests_on


def test_the_money_of_needless_reflashes_is_by_repair_order_and_each_amount_once(
    shop: RunningShop, clock: StandingClock
) -> None:
    """Six repair orders, one reflash each, all still there at road test but the fifth, by hand:
    1 agreed to $180, the charge stands; 2 to $200, credited; 3 to $90, no charge, and $40 of ours; 4 agreed
    to $150 and billed $140, of which $60 were credited; 5 was cured; 6 has nothing on file.
    """
    with shop.writing(LEAD) as desk:
        notes.write_note(desk, an_update())
        for number in range(1, 7):
            concern = concerns.open_concern(desk, a_concern(ro_number=str(number))).id
            module = ModuleResult("PCM", ReflashResult.COMPLETED, 1, concern_ids=(concern,))
            test = RoadTest.GONE if number == 5 else RoadTest.STILL_THERE
            programming.record_event(desk, ProgrammingEventDraft((module,), desk.today, road_test=test))
        agreed = {1: (18_000, "charge_stands"), 2: (20_000, "credited"), 3: (9_000, "no_charge")}
        agreed |= {4: (15_000, "charge_stands"), 5: (50_000, "charge_stands")}
        for concern, (amount, if_not) in agreed.items():
            money.authorize(desk, concern, AuthorizationDraft(amount, "customer", if_not_cured=if_not))
        money.record_payment(desk, 3, "cost", 4_000, "shop")
        money.record_payment(desk, 4, "billed", 14_000, "customer")
        money.record_payment(desk, 4, "credited", 6_000, "customer")
    with shop.reading(LEAD) as desk:
        visits = needless_reflashes.needless_visits(desk, ReportFilter())
        lines = money_report.money_report(desk, ReportFilter())
    told = {one.repair_order_id: one.money for one in visits}
    assert {one: (m.billed, m.credited, m.borne, m.rests_on) for one, m in told.items()} == {
        1: (18_000, 0, 0, "agreed"),
        2: (0, 20_000, 0, "agreed"),
        3: (0, 0, 13_000, "agreed"),
        4: (8_000, 6_000, 0, "paid"),
        6: (0, 0, 0, ""),
    }
    assert [(one.count, one.amount_minor) for one in lines[2:6]] == [
        (2, 26_000),
        (2, 26_000),
        (1, 13_000),
        (5, 65_000),
    ]
    assert lines[5].rests_on == (
        "the lines above; 3 of 5 repair orders as agreed, at most so much; 1 of 5 have no amount on file"
    )
