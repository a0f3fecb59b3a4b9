"""What a customer is told: plain, whole, and not more than is true."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from kb.desk.bay.concern import concerns
from kb.desk.bay.papers import customer_word as desk_word
from kb.desk.bay.programming import money
from kb.desk.context import RunningShop
from kb.errors import BadInput
from kb.nouns.bay.customer_word import AuthorizationDraft, Authorized, CustomerWord, Proposal
from kb.papers.customer_word import answer_said
from kb.papers.shop_words import ShopWords
from tests.factories import a_concern, actor_of


def told(shop: RunningShop, proposal: Proposal) -> CustomerWord:
    with shop.writing(actor_of(shop, "tech")) as desk:
        opened = concerns.open_concern(desk, a_concern())
        return desk_word.customer_word(desk, opened.id, proposal)


def test_tablet_script_and_message_say_the_same(sqlite_shop: RunningShop) -> None:
    word = told(sqlite_shop, Proposal("Update the PCM.", 18_050, "credited"))
    assert word.told == (
        "We propose: update the PCM.",
        "It costs at most $180.50; we ask you again before it costs more.",
        "It may not cure it.",
        "A control module can fail while it is programmed; then we tell you before anything else is done.",
        "If it is not cured, what you paid for this is credited to you.",
    )
    first, second, third = word.script
    assert first == (
        "This is Our shop about your 2019 Norvane Tessel 2.0 L; we propose: update the PCM, for at most "
        "$180.50; we ask you again before it costs more."
    )
    assert second == (
        "It may not cure it, and a control module can fail while it is programmed; then we tell you before "
        "anything else is done."
    )
    assert third == "If it is not cured, what you paid for this is credited to you; do you agree?"
    assert all(one in word.message for one in word.told)
    assert "differs by state" in word.law


def test_where_nothing_is_programmed_no_module_can_fail(sqlite_shop: RunningShop) -> None:
    word = told(sqlite_shop, Proposal("Find the cause", 9_500, "charge_stands", programs=False))
    assert "module" not in " ".join((*word.told, *word.script, word.message))
    assert word.script[1] == "It may not cure it."


@pytest.mark.parametrize(
    ("proposal", "field"),
    [
        (Proposal(" ", 100, "credited"), "proposed"),
        (Proposal("x" * 301, 100, "credited"), "proposed"),
        (Proposal("x", -1, "credited"), "amount"),
        (Proposal("x", 100, "we shall see"), "if_not_cured"),
        (Proposal("x", 100), "if_not_cured"),
    ],
)
def test_a_proposal_that_says_nothing_is_refused(
    sqlite_shop: RunningShop, proposal: Proposal, field: str
) -> None:
    with pytest.raises(BadInput) as refused:
        told(sqlite_shop, proposal)
    assert set(refused.value.fields) == {field}


@pytest.mark.parametrize(
    ("field", "most"), [("proposed", 300), ("who", 120), ("how", 120), ("number_called", 60)]
)
def test_an_answer_is_held_to_one_limit_whoever_brings_it(
    sqlite_shop: RunningShop, field: str, most: int
) -> None:
    tech, draft = actor_of(sqlite_shop, "tech"), AuthorizationDraft(100, "Ines", "", "credited")
    with sqlite_shop.writing(tech) as desk:
        concern = concerns.open_concern(desk, a_concern()).id
        money.authorize(desk, concern, replace(draft, **{field: "x" * most}))
        with pytest.raises(BadInput) as refused:
            money.authorize(desk, concern, replace(draft, **{field: "x" * (most + 1)}))
    assert set(refused.value.fields) == {field}


def test_an_answer_is_said_with_all_that_is_on_file_of_it() -> None:
    words = ShopWords(UTC, "USD")
    at = datetime(2026, 10, 31, tzinfo=UTC)
    agreed = Authorized(18_000, "Mr. Tovar", "by phone", "credited", at, True, True, False, "PCM", "555 0100")
    assert answer_said(agreed, words) == (
        "agreed, up to $180: PCM; Mr. Tovar, by phone, 555 0100; "
        "told that it may not cure it and that a module can fail"
    )
    declined = Authorized(9_500, "Ms. Oduya", "", "no_charge", at, declined=True)
    assert answer_said(declined, words) == "declined, up to $95; Ms. Oduya"
