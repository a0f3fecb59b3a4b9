from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.intake.government.remedies import RemedyRead
from kb.intake.government.titles import LONGEST, NOT_TOLD, compose
from kb.nouns.notes import Remedy
from kb.nouns.vehicles import CoverageLine

ALTO = (CoverageLine("NORVANE", "ALTO"),)
NOTHING = RemedyRead()
SOFTWARE = RemedyRead(Remedy.SOFTWARE, "TCM")
LETTER = "This document is the owner letter for the recall of certain Norvane Alto vehicles."
FAULT = "The pump relay may overheat and the engine may stall while driving."
AFTER = "This could increase the risk of a crash."
DONE = "Dealers will replace the relay free of charge."


def title(*texts: str, read: RemedyRead = NOTHING, otherwise: str = "") -> str:
    return compose(ALTO, texts, read, otherwise)


@pytest.mark.parametrize("order", [(LETTER, FAULT, AFTER, DONE), (AFTER, DONE, LETTER, FAULT)])
def test_the_title_is_the_sentence_of_the_fault_wherever_it_stands(order: tuple[str, ...]) -> None:
    assert title(" ".join(order)) == FAULT[:-1]


def test_of_two_fault_sentences_the_one_that_stands_alone_is_taken() -> None:
    leaning = "It may overheat and the engine may stall while driving."
    assert title(f"{leaning} {FAULT}") == FAULT[:-1]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("26V001 recall; On certain 2021 ALTO vehicles, the hood latch may not close.",
         "The hood latch may not close"),
        ("Norvane, Inc. has decided that the hood latch may release.", "The hood latch may release"),
        ("Safety Recall 26S12 Certain 2021 Model Year ALTO Vehicles Loose Ball Joint", "Loose ball joint"),
        ("HARSH 1-2 SHIFT, TCM MAY LOSE ITS ABS SIGNAL", "Harsh 1-2 shift, TCM may lose its ABS signal"),
        ("26S12 DELIVERY HOLD Certain 2021 Model Year ALTO Vehicles Wiper Motor Arm", "Wiper motor arm"),
        ("The letter notifies dealers of the recall relating to the ICCU, what the concern is.", "ICCU"),
        ("A hose, which carries the coolant of the battery and of the charger behind it, may leak.",
         "A hose may leak"),
        ("For certain 2020 MY turbo ALTO vehicles and BRIX vehicles in which the chain may slip or break",
         "Chain may slip or break"),
    ],
)  # fmt: skip
def test_what_tells_nothing_of_the_fault_is_left_out(text: str, says: str) -> None:
    assert title(text) == says, title(text)


def test_a_remedy_of_software_is_said_where_it_has_room() -> None:
    assert title("The camera image may be missing in reverse.", read=SOFTWARE) == (
        "The camera image may be missing in reverse: reprogram"
    )
    assert title("The camera image may be missing until its software is updated.", read=SOFTWARE) == (
        "The camera image may be missing until its software is updated"
    )
    assert title("Owner letter", read=SOFTWARE) == "TCM: reprogram"


def test_texts_that_tell_nothing_say_so_and_give_no_number_for_a_title() -> None:
    texts = ("Owner Notification Letter 26V001", "Questions? Please ask Jo Doe Roe at jo@example.com")
    assert title(*texts) == NOT_TOLD
    assert title(*texts, otherwise="suspension: front") == "Suspension: front"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("DO NOT REPROGRAM UNLESS THE TCM SHOWS AN OLD ID",
         "Do not reprogram unless the TCM shows an old ID"),
        ("Dealers: do not replace the pump relay", "Do not replace the pump relay"),
        ("The engine may stall. NEVER CLEAR CODES; PUMP RELAY REPLACEMENT", "The engine may stall"),
        ("The engine may stall, in any gear and at any speed that the driver may choose, only if it is cold.",
         "The engine may stall, in any gear and at any speed that the driver may choose…"),
    ],
)  # fmt: skip
def test_what_is_denied_stays_denied_and_what_is_limited_shows_it(text: str, says: str) -> None:
    assert title(text) == says, title(text)


SAID = [
    "pump",
    "relay",
    "may",
    "stall",
    "engine",
    "replace",
    "fails",
    "wheel",
    "leak",
    "the",
    "of",
    "Alto",
    "dealer",
    "reprogram",
    "when",
    "driving",
]
RULING = ["not", "never", "without", "unless", "only", "if", "until", "except", "no", "cannot"]
words = st.lists(st.sampled_from(SAID * 2 + RULING), min_size=3, max_size=30)
signs = st.sampled_from([" ", " ", " ", " ", ", ", "; ", ": ", " - "])


@given(st.lists(words, min_size=1, max_size=3), st.data())
def test_no_denial_is_parted_from_what_it_denies(told: list[list[str]], data: st.DataObject) -> None:
    """A slow look: where the title stands in its sentence, what was left out before it rules nothing in it,
    and what was left out behind it in the same part limits nothing unless an ellipsis shows the cut.
    """
    text = ". ".join(
        "".join(w + data.draw(signs) for w in some)[:-1].strip(" ,;:-").capitalize() for some in told
    )
    says = title(text)
    kept = re.findall(r"\w+", says.lower())
    places = [place for sentence in text.lower().split(". ") for place in _places(sentence, kept)]
    assert says == NOT_TOLD or any(_kept_whole(before, behind, says) for before, behind in places), (
        text,
        says,
    )


def _places(sentence: str, kept: list[str]) -> list[tuple[set[str], str]]:
    met = [(m[0], m.end()) for m in re.finditer(r"\w+", sentence)]
    found = [i for i in range(len(met)) if kept and [w for w, _ in met[i : i + len(kept)]] == kept]
    return [({w for w, _ in met[:i]}, sentence[met[i + len(kept) - 1][1] :]) for i in found]


def _kept_whole(before: set[str], behind: str, says: str) -> bool:
    part = re.split(r"[;:] | - ", behind)[0]
    limited = re.search(r"\b(unless|only|if|until|except)\b", part)
    return not before & set(RULING) and (says.endswith("…") or not limited)


@given(st.lists(st.text(max_size=300), max_size=5))
def test_a_title_is_never_empty_nor_too_long(texts: list[str]) -> None:
    assert 0 < len(title(*texts, read=SOFTWARE)) <= LONGEST
