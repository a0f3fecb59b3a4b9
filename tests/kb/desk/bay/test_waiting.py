"""What an open concern waits for: one thing at a time, until that is here or the concern ends."""

from __future__ import annotations

import pytest

from kb.desk.bay.concern import closing, concerns
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.handover import concern_list, waiting
from kb.desk.bay.programming import money
from kb.desk.context import RunningShop
from kb.errors import BadInput, Conflict
from kb.nouns.bay.customer_word import AuthorizationDraft
from kb.nouns.bay.waiting import WaitingFor
from kb.nouns.concerns import Ending
from tests.factories import a_concern, actor_of


def test_it_waits_for_one_thing_in_somebodys_words_until_it_goes_on(sqlite_shop: RunningShop) -> None:
    with sqlite_shop.writing(actor_of(sqlite_shop, "tech")) as desk:
        concern = concerns.open_concern(desk, a_concern()).id
        assert read_concern(desk, concern).waiting is None
        waiting.wait_for(desk, concern, WaitingFor.LEAD)
        waiting.wait_for(desk, concern, WaitingFor.PART, " intake hose, Tuesday ")
        told = read_concern(desk, concern).waiting
        assert told is not None
        assert (told.waiting_for, told.remark, told.by) == (WaitingFor.PART, "intake hose, Tuesday", "tech")
        assert told.since == desk.now
        assert [line.waiting for line in concern_list.list_concerns(desk)] == [told]
        with pytest.raises(BadInput):
            waiting.wait_for(desk, concern, WaitingFor.PART, "x" * 201)
        waiting.go_on(desk, concern)
        assert read_concern(desk, concern).waiting is None


def test_what_it_waited_for_ends_the_wait_and_nothing_else_does(sqlite_shop: RunningShop) -> None:
    ok = AuthorizationDraft(18_000, "the customer", "", "credited")
    with sqlite_shop.writing(actor_of(sqlite_shop, "tech")) as desk:
        concern = concerns.open_concern(desk, a_concern()).id
        waiting.wait_for(desk, concern, WaitingFor.SOAK)
        money.authorize(desk, concern, ok)
        assert read_concern(desk, concern).waiting is not None
        waiting.wait_for(desk, concern, WaitingFor.CUSTOMER_OK)
        money.authorize(desk, concern, ok)
        assert read_concern(desk, concern).waiting is None


def test_a_closed_concern_waits_for_nothing_until_it_is_opened_again(sqlite_shop: RunningShop) -> None:
    with sqlite_shop.writing(actor_of(sqlite_shop, "tech")) as desk:
        concern = concerns.open_concern(desk, a_concern()).id
        waiting.wait_for(desk, concern, WaitingFor.PART)
        closing.close_concern(desk, concern, Ending.SENT_TO_DEALER)
        with pytest.raises(Conflict, match="RO 2087-A is closed"):
            waiting.wait_for(desk, concern, WaitingFor.SOAK)
        assert read_concern(desk, concern).waiting is None
        closing.reopen_concern(desk, concern)
        taken_up = read_concern(desk, concern).waiting
    assert taken_up is not None
    assert taken_up.waiting_for is WaitingFor.PART
