"""What comes before any chance, through the desk: each stop and step of the order has its own sentence."""

from __future__ import annotations

from datetime import timedelta

import pytest

from kb.desk.bay.advice import advice
from kb.desk.bay.concern import concerns, facts
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.errors import BadInput
from kb.nouns.advice import Advice, Verdict
from kb.nouns.vehicles import CalibrationReading, CalibrationSource, LookUp
from tests.factories import a_concern, actor_of, an_update

# The sentence, and the stop's own first step, typed by hand.
STOPS = {
    "battery": (
        "battery",
        "Battery or charging is not good enough to program.",
        "Charge or replace the battery, fix charging, and test both again.",
    ),
    "recall_checked": (
        "recall_open",
        "A recall that touches this module or concern is open on this VIN.",
        "Send it to the dealer for the recall, or have it closed there first.",
    ),
    "communicates": (
        "no_communication",
        "The module does not communicate.",
        "Check the module's feeds, grounds and bus before anything is programmed.",
    ),
    "module_original": (
        "module_replaced",
        "The module was replaced: this is programming by the manufacturer's procedure, not a diagnosis.",
        "Follow the manufacturer's programming procedure for a replaced module.",
    ),
    "stock_calibration": (
        "aftermarket_calibration",
        "An aftermarket calibration was found: a reflash would overwrite it.",
        "Ask the customer before overwriting it; use released calibrations only.",
    ),
}


def open_case(
    shop: RunningShop,
    read: str = "NV10A",
    newest: str = "NV10B",
    source: CalibrationSource = CalibrationSource.READ,
    looked_up_days_ago: int | None = 0,
) -> int:
    """A concern that an update fits; "" leaves the module unread, None the look-up undone."""
    with shop.writing(actor_of(shop, "lead")) as desk:
        notes.write_note(desk, an_update())
    with shop.writing(actor_of(shop, "tech")) as desk:
        concern = concerns.open_concern(desk, a_concern()).id
        if read:
            facts.put_calibration(desk, concern, CalibrationReading("PCM", read, source))
        if looked_up_days_ago is not None:
            day = desk.today - timedelta(days=looked_up_days_ago)
            facts.put_look_up(desk, concern, LookUp("PCM", day, "tech", newest, nothing_newer=not newest))
    return concern


def advised(shop: RunningShop, concern: int) -> Advice:
    with shop.reading(actor_of(shop, "tech")) as desk:
        return advice.give_advice(desk, concern)


def settle(shop: RunningShop, concern: int, gate: str, result: str, value: str = "") -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        facts.put_gate(desk, concern, gate, result, value)


@pytest.mark.parametrize("gate", STOPS)
def test_each_stop_says_its_own_sentence_comes_first_and_is_lifted_only_by_name_and_reason(
    shop: RunningShop, gate: str
) -> None:
    kind, sentence, action = STOPS[gate]
    concern = open_case(shop)
    assert advised(shop, concern).stops == ()
    settle(shop, concern, gate, "fault")
    said = advised(shop, concern)
    assert said.verdict is Verdict.CHECK_FIRST
    assert [(one.kind, one.action) for one in said.stops] == [(kind, action)]
    assert said.stops[0].sentence.startswith(sentence)
    assert sentence.rstrip(".") in said.sentence
    assert said.steps[0].text == action
    with shop.writing(actor_of(shop, "tech")) as desk, pytest.raises(BadInput):
        advice.lift_stop(desk, concern, kind, "  ")
    with shop.writing(actor_of(shop, "tech")) as desk:
        advice.lift_stop(desk, concern, kind, "settled in writing")
    lifted = advised(shop, concern)
    assert lifted.stops == ()
    assert any("Override by tech" in one and "settled in writing" in one for one in lifted.notices)


def test_a_recall_not_checked_or_about_something_else_is_a_notice_and_never_a_stop(shop: RunningShop) -> None:
    concern = open_case(shop)
    unchecked = advised(shop, concern)
    assert unchecked.stops == ()
    both = "Recalls and free coverage not checked for this VIN. Not checked never means clear."
    assert both in unchecked.notices
    settle(shop, concern, "recall_checked", "fault", "other")
    other = advised(shop, concern)
    assert other.stops == ()
    assert "A recall about something else is open on this VIN. Tell the customer." in other.notices
    settle(shop, concern, "recall_checked", "fine")
    assert not [one for one in advised(shop, concern).notices if "ecall" in one]


def test_an_unread_module_is_read_first(shop: RunningShop) -> None:
    said = advised(shop, open_case(shop, read="", looked_up_days_ago=None))
    assert (said.verdict, said.steps[0].text) == (
        Verdict.CHECK_FIRST,
        "Read the calibration ID of the PCM.",
    )


def test_a_typed_id_is_not_the_latest_until_it_is_confirmed(shop: RunningShop) -> None:
    concern = open_case(shop, read="NV10B", newest="NV10B", source=CalibrationSource.TYPED)
    said = advised(shop, concern)
    assert said.verdict is Verdict.CHECK_FIRST
    assert said.steps[0].text == (
        "Confirm the calibration ID of the PCM on the vehicle: nobody read NV10B from it, "
        "and such an ID never counts as the latest."
    )
    with shop.writing(actor_of(shop, "tech")) as desk:
        sure = CalibrationReading("PCM", "NV10B", CalibrationSource.TYPED, confirmed=True)
        facts.put_calibration(desk, concern, sure)
    confirmed = advised(shop, concern)
    assert (confirmed.verdict, confirmed.candidates) == (Verdict.KEEP_DIAGNOSING, ())


@pytest.mark.parametrize("days", [None, 91])
def test_a_missing_or_stale_look_up_comes_before_a_subscription_is_bought(
    shop: RunningShop, days: int | None
) -> None:
    """The shop's limit is 90 days."""
    said = advised(shop, open_case(shop, looked_up_days_ago=days))
    assert said.verdict is Verdict.CHECK_FIRST
    assert said.steps[0].text == "Look up the newest calibration (PCM) by VIN before buying a subscription."


def test_a_look_up_of_ninety_days_still_counts(shop: RunningShop) -> None:
    said = advised(shop, open_case(shop, looked_up_days_ago=90))
    assert not [step for step in said.steps if step.do == "settle"]


def test_the_newest_calibration_leaves_nothing_to_install_and_never_the_verdict_reflash(
    shop: RunningShop,
) -> None:
    said = advised(shop, open_case(shop, read="NV10B", newest=""))
    assert (said.verdict, said.candidates) == (Verdict.KEEP_DIAGNOSING, ())
    assert "the module already holds the latest calibration we know of" in said.sentence
    assert any("NV10B is the latest we know of" in one for one in said.notices)


def test_the_order_is_stop_then_read_then_look_up_then_plan(shop: RunningShop) -> None:
    concern = open_case(shop, read="", looked_up_days_ago=None)
    settle(shop, concern, "battery", "fault")
    stopped = advised(shop, concern)
    assert [step.text for step in stopped.steps[:2]] == [
        STOPS["battery"][2],
        "Read the calibration ID of the PCM.",
    ]
    settle(shop, concern, "battery", "fine")
    with shop.writing(actor_of(shop, "tech")) as desk:
        facts.put_calibration(desk, concern, CalibrationReading("PCM", "NV10A", CalibrationSource.READ))
    assert advised(shop, concern).steps[0].text.startswith("Look up the newest calibration")
    with shop.writing(actor_of(shop, "tech")) as desk:
        facts.put_look_up(desk, concern, LookUp("PCM", desk.today, "tech", "NV10B"))
    assert advised(shop, concern).steps[0].do != "settle"


def test_with_a_stop_a_module_on_the_newest_calibration_is_still_stopped(shop: RunningShop) -> None:
    concern = open_case(shop, read="NV10B", newest="")
    settle(shop, concern, "communicates", "fault")
    said = advised(shop, concern)
    assert (said.verdict, said.steps[0].text) == (Verdict.CHECK_FIRST, STOPS["communicates"][2])
