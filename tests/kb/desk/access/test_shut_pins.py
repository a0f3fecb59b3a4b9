"""A PIN is shut by ten wrong tries in a row, whoever tries and however slowly, and opened by the password."""

from __future__ import annotations

import logging
from collections.abc import Callable
from contextlib import suppress

import pytest
from sqlalchemy import select

from kb.desk.access import showing_who, shut_pins, sign_ins, waits
from kb.desk.access.devices import STRANGER, Device
from kb.desk.access.showing_who import Shown
from kb.desk.access.waits import Guessed
from kb.desk.context import RunningShop
from kb.errors import BadInput, NotSignedIn
from kb.records.tables import Trail
from tests.conftest import StandingClock
from tests.factories import actor_of
from tests.web.access.sharing import PINS, give_pin
from tests.web.browsing import PASSWORD, give_passwords

pytestmark = pytest.mark.both_databases
WRONG = "8302"
Try = Callable[[str], str]


@pytest.fixture
def lead_by_pin(shop: RunningShop, clock: StandingClock) -> Try:
    """Signs as the lead, half a day after the try before; what was said, empty where it was the right one."""
    give_passwords(shop)
    give_pin(shop, "lead")
    lead = actor_of(shop, "lead")

    def tried(typed: str) -> str:
        clock.move(hours=12)
        try:
            showing_who.sign(shop, lead, Shown(lead.user_id, typed, STRANGER))
        except BadInput as wrong:
            return wrong.message
        return ""

    return tried


def lines(shop: RunningShop) -> list[str]:
    with shop.reading() as desk:
        return list(desk.session.execute(select(Trail.action)).scalars())


def test_the_tenth_in_a_row_shuts_it_for_days_and_the_password_opens_it(
    shop: RunningShop, lead_by_pin: Try, caplog: pytest.LogCaptureFixture
) -> None:
    """Ten: `shut_pins.MOST_WRONG`; NIST SP 800-63B-4, 3.2.2, allows at most 100."""
    assert shut_pins.MOST_WRONG <= 100
    for _ in range(2):  # a right one in between begins anew
        assert {lead_by_pin(WRONG) == shut_pins.SHUT for _ in range(9)} == {False}
        assert lead_by_pin(PINS["lead"]) == ""
    with caplog.at_level(logging.WARNING, "beforeflash"):
        said = [lead_by_pin(WRONG) for _ in range(10)]
    assert [one == shut_pins.SHUT for one in said] == [False] * 9 + [True]
    assert [one for one in caplog.messages if "is shut" in one] == [
        f"the PIN of account {actor_of(shop, 'lead').user_id} is shut after 10 wrong tries"
    ]
    assert lead_by_pin(PINS["lead"]) == shut_pins.SHUT
    shut = "shut the PIN of"
    assert lines(shop).count(shut) == 1
    with pytest.raises(NotSignedIn):
        sign_ins.sign_in(shop, "lead", "not the password")
    assert lead_by_pin(PINS["lead"]) == shut_pins.SHUT
    sign_ins.sign_in(shop, "lead", PASSWORD)
    assert lead_by_pin(PINS["lead"]) == ""


def test_another_pin_is_open(shop: RunningShop, lead_by_pin: Try) -> None:
    for _ in range(10):
        lead_by_pin(WRONG)
    lead = actor_of(shop, "lead")
    password = Shown(lead.user_id, PASSWORD, STRANGER)
    showing_who.set_pin(shop, lead, "7305", "7305", password)
    assert lead_by_pin("7305") == ""


def test_tries_of_two_processes_are_counted_before_they_are_checked(
    shop: RunningShop, twin: RunningShop, clock: StandingClock
) -> None:
    """From devices of the person's own too, of which each waits by itself, and where none says what came of
    it: a server that dies gives none away.
    """
    give_passwords(shop)
    give_pin(shop, "lead")
    lead, given = actor_of(shop, "lead").user_id, 0
    for number in range(30):
        device = Device("192.168.1.7", f"device {number}", (lead,))
        with suppress(NotSignedIn), (shop, twin)[number % 2].writing() as desk:
            given += waits.may_try(desk, "lead", device, Guessed.PIN) == waits.NO_WAIT
    assert given == 10
