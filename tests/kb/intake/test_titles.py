from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.intake.government.titles import LONGEST, compose, fault_sentence, shorten, subject, topic
from kb.nouns.vehicles import CoverageLine

ALTO = (CoverageLine("NORVANE", "ALTO"),)
LETTER = "This document is the owner letter for the recall of certain Norvane Alto vehicles."
FAULT = "The pump relay may overheat and the engine may stall while driving."
AFTER = "This could increase the risk of a crash."
REMEDY = "Dealers will replace the relay free of charge."


@pytest.mark.parametrize("order", [(LETTER, FAULT, AFTER, REMEDY), (AFTER, REMEDY, LETTER, FAULT)])
def test_the_title_is_the_sentence_of_the_fault_wherever_it_stands(order: tuple[str, ...]) -> None:
    assert compose(ALTO, [" ".join(order)], "recall") == f"NORVANE ALTO: {FAULT[:-1]}"


def test_of_two_fault_sentences_the_one_that_stands_alone_is_taken() -> None:
    leaning = "It may overheat and the engine may stall while driving."
    assert fault_sentence([f"{leaning} {FAULT}"]) == FAULT[:-1]


def test_where_no_sentence_tells_a_fault_the_words_that_are_no_paperwork_are_taken() -> None:
    text = (
        "NEW VEHICLE DELIVERY HOLD Safety Recall 26S12 Certain 2021 Model Year ALTO Vehicles Wiper Motor Arm"
    )
    assert compose(ALTO, ["26S12 renotification. Mailed July 30, 2024", text], "recall") == (
        "NORVANE ALTO: Wiper Motor Arm"
    )


def test_pure_paperwork_and_names_of_people_give_no_topic() -> None:
    texts = ["Owner Notification Letter", "Questions? Please ask Jo Doe Roe at jo@example.com"]
    assert topic(texts) == ""
    assert compose(ALTO, texts, "recall 26V001") == "NORVANE ALTO: recall 26V001"


def test_the_subject_is_short_however_many_vehicles_are_covered() -> None:
    brio, other = CoverageLine("NORVANE", "BRIO"), CoverageLine("OSTREL", "B")
    assert subject(ALTO) == "NORVANE ALTO"
    assert subject((*ALTO, brio)) == "NORVANE, 2 models"
    assert subject((*ALTO, brio, other)) == "2 makes"
    assert subject((CoverageLine("NORVANE", "NORVANE"),)) == "NORVANE"
    assert subject(()) == ""


@given(st.lists(st.text(max_size=300), max_size=5))
def test_a_title_is_never_empty_nor_too_long(texts: list[str]) -> None:
    assert 0 < len(compose(ALTO, texts, "recall")) <= LONGEST


@given(st.text(max_size=300), st.integers(5, 200))
def test_a_text_is_cut_only_where_it_is_too_long(text: str, longest: int) -> None:
    short = shorten(text, longest)
    assert len(short) <= longest
    assert short == text or (short.endswith("…") and text.startswith(short[:-1]))
