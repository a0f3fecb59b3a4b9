"""The money of the review as its owner reads it: what is open, what overlaps, of which days."""

from __future__ import annotations

from datetime import timedelta

from kb.desk.bay.advice import advice
from kb.desk.bay.concern import closing, concerns, facts, findings
from kb.desk.context import RunningShop
from kb.nouns.concerns import Ending, FindingResult
from kb.nouns.vehicles import CalibrationReading, CalibrationSource, LookUp
from tests.conftest import StandingClock
from tests.factories import a_concern, actor_of
from tests.web.conftest import SignIn
from web.words import day

AGAINST_A_REFLASH = ("unnamed_code", "wiggle_test", "voltage_drop")
"""Checks whose yes speaks for another cause than the calibration, by the guesses a shop starts with."""


def words(text: str) -> str:
    return " ".join(text.split())


def test_the_advice_page_names_its_days_and_what_cannot_be_told_from_nothing(
    bay: RunningShop, signed_in: SignIn, clock: StandingClock
) -> None:
    """Two concerns diagnosed first as advised: against always diagnosing first nothing can be saved, so that
    row of the two holds zero; against reflashing first a whole reflash and its rework are saved twice.
    """
    with bay.writing(actor_of(bay, "tech")) as desk:
        frozen_on = desk.today
        for number in ("41", "42"):
            concern = concerns.open_concern(desk, a_concern(ro_number=number)).id
            facts.put_calibration(desk, concern, CalibrationReading("PCM", "NV10A", CalibrationSource.READ))
            facts.put_look_up(desk, concern, LookUp("PCM", desk.today, "tech", "NV10B"))
            for check in AGAINST_A_REFLASH:
                findings.put_finding(desk, concern, check, FindingResult.YES)
            advice.decide(desk, concern, advice.give_advice(desk, concern).verdict.value)
            closing.close_concern(desk, concern, Ending.OTHER_CAUSE, other_cause="cracked hose")
    clock.move(days=91)
    page = signed_in("owner").see("/review/advice")
    today = frozen_on + timedelta(days=91)
    days = f"Advice frozen {day(frozen_on, today)} · intervals 90% · as of {day(today, today)}"
    assert days in words(page.text)
    assert words(page.text).count("cannot be told from nothing") == 1
    assert "“Reflashes avoided” overlaps with this" in words(page.text)


def test_the_money_of_an_earlier_day_says_up_to_when_it_is(reflashed: RunningShop, signed_in: SignIn) -> None:
    owner = signed_in("owner")
    with reflashed.reading(actor_of(reflashed, "owner")) as desk:
        earlier, today = desk.today - timedelta(days=30), desk.today
    text = words(owner.see(f"/review?as_of={earlier}").text)
    assert f"the lines “of all time” are of the whole shop, up to {day(earlier, today)}." in text
    assert "Only lines above a sum are added up." in words(owner.see("/review").text)
