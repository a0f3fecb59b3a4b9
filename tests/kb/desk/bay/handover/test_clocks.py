"""Clocks on both databases: started, listed with the ones that are over first, ended one by one."""

from __future__ import annotations

import pytest

from kb.desk.bay.concern import closing, concerns
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.handover import clocks, concern_list, waiting
from kb.desk.bay.programming import money
from kb.desk.context import RunningShop
from kb.errors import BadInput, Conflict, NotFound
from kb.nouns.bay.clocks import ClockAsked, ClockKind
from kb.nouns.bay.customer_word import AuthorizationDraft
from kb.nouns.bay.waiting import WaitingFor
from kb.nouns.concerns import Ending
from tests.conftest import StandingClock
from tests.factories import a_concern, actor_of

pytestmark = pytest.mark.both_databases


def test_a_clock_runs_until_it_is_ended_and_only_on_an_open_concern(
    shop: RunningShop, clock: StandingClock
) -> None:
    tech = actor_of(shop, "tech")
    with shop.writing(tech) as desk:
        first, second = (concerns.open_concern(desk, a_concern(ro_number=one)).id for one in ("1", "2"))
        soak = clocks.start_clock(desk, first, ClockAsked(ClockKind.SOAK, 600))
        warm = clocks.start_clock(desk, second, ClockAsked(ClockKind.WARM_UP))
        with pytest.raises(BadInput):
            clocks.start_clock(desk, first, ClockAsked(ClockKind.RELEARN_MILES, miles=0))
    clock.move(days=1)
    with shop.writing(tech) as desk:
        late = clocks.start_clock(desk, second, ClockAsked(ClockKind.CHARGING))
        assert [(one.id, one.over) for one in clocks.running_clocks(desk)] == [
            (warm.id, True),
            (soak.id, True),
            (late.id, False),
        ]
        lines = clocks.overdue_first(desk, concern_list.list_concerns(desk))
        assert [(line.id, len(line.clocks)) for line in lines] == [(second, 2), (first, 1)]
        assert clocks.end_clock(desk, warm.id) == second
        with pytest.raises(NotFound):
            clocks.end_clock(desk, 99)
        closing.close_concern(desk, first, Ending.SENT_TO_DEALER)
        with pytest.raises(Conflict):
            clocks.start_clock(desk, first, ClockAsked(ClockKind.SOAK))
        assert [one.id for one in clocks.running_clocks(desk)] == [late.id]
        assert read_concern(desk, first).waiting is None
        assert concern_list.list_concerns(desk, "closed", waiting_for="soak") == ()
        closing.reopen_concern(desk, first)
        assert [one.id for one in clocks.running_clocks(desk)] == [soak.id, late.id]
        assert read_concern(desk, first).waiting is not None


def test_a_soak_begun_anew_is_what_the_concern_waits_for_and_another_wait_stands(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        soaks, waits = (concerns.open_concern(desk, a_concern(ro_number=one)).id for one in ("1", "2"))
        for until in ("7:40 AM", "8:30 AM"):
            clocks.start_clock(desk, soaks, ClockAsked(ClockKind.SOAK, until=until))
        waiting.wait_for(desk, waits, WaitingFor.PART, "hose")
        clocks.start_clock(desk, waits, ClockAsked(ClockKind.SOAK))
    with shop.reading(actor_of(shop, "tech")) as desk:
        said = [read_concern(desk, one).waiting for one in (soaks, waits)]
    assert [one and one.waiting_for for one in said] == [WaitingFor.SOAK, WaitingFor.PART]
    assert said[0] is not None
    assert said[0].remark == ""


def test_a_number_called_goes_with_the_phone_number(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        concern = concerns.open_concern(desk, a_concern()).id
        asked = AuthorizationDraft(18_000, "Mr. Tovar", declined=True, number_called="555 0100")
        money.authorize(desk, concern, asked)
        file = read_concern(desk, concern)
        assert (file.authorized_minor, file.has_a_number) == (None, True)
        concerns.forget_phone(desk, concern)
    with shop.reading(actor_of(shop, "tech")) as desk:
        assert not read_concern(desk, concern).has_a_number
