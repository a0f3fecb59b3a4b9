"""What a text says is done, and to which module, against 180 texts marked by hand from the text alone.

The 120 to choose by were read while the rule was made; the 60 to judge by were marked and counted after it.
"""

from __future__ import annotations

import csv
from collections.abc import Callable

import pytest

from kb.intake.remedies import RemedyRead, read_remedy
from kb.nouns.notes import Remedy
from tests.kb.intake.reading import FIXTURES

Row = dict[str, str]


def by_hand(which: str) -> list[tuple[Row, RemedyRead]]:
    lines = (FIXTURES / "remedies_by_hand.csv").read_text().splitlines(keepends=True)
    rows = csv.DictReader(line for line in lines if not line.startswith("#"))
    return [(row, read_remedy([row["text"]])) for row in rows if row["set"] == which]


def rates(
    rows: list[tuple[Row, RemedyRead]], said: Callable[[Row, RemedyRead], tuple[bool, bool, bool]]
) -> tuple[float, float]:
    """Precision and recall of what is (said, due, right)."""
    told = [said(*row) for row in rows]
    right = sum(one[0] and one[2] for one in told)
    return right / sum(one[0] for one in told), right / sum(one[1] for one in told)


def said(row: Row, read: RemedyRead) -> tuple[bool, bool, bool]:
    """A remedy that may be said or not is no miss where it is not."""
    due = row["remedy"].split("|")
    right = read.remedy.value in due
    return bool(read.remedy), "" not in due or (bool(read.remedy) and right), right


def software(row: Row, read: RemedyRead) -> tuple[bool, bool, bool]:
    due = any(Remedy(one).holds_software for one in row["remedy"].split("|"))
    return read.remedy.holds_software, due, due


def module(row: Row, read: RemedyRead) -> tuple[bool, bool, bool]:
    """A module that may be named or not is no miss where it is not."""
    due = set(filter(None, row["module"].split("|")))
    right = read.module in due
    return bool(read.module), bool(due) and ("none" not in due or right), right


@pytest.mark.parametrize(("which", "precise", "found"), [("choose", 1.0, 1.0), ("judge", 0.95, 0.85)])
def test_software_is_told_from_everything_else(which: str, precise: float, found: float) -> None:
    precision, recall = rates(by_hand(which), software)
    assert precision >= precise
    assert recall >= found


@pytest.mark.parametrize(("which", "precise", "found"), [("choose", 0.95, 0.95), ("judge", 0.95, 0.85)])
def test_the_module_is_the_one_that_a_person_names(which: str, precise: float, found: float) -> None:
    precision, recall = rates(by_hand(which), module)
    assert precision >= precise
    assert recall >= found


@pytest.mark.parametrize(("which", "precise", "found"), [("choose", 0.98, 0.98), ("judge", 0.95, 0.85)])
def test_the_remedy_is_the_one_of_six_that_a_person_says(which: str, precise: float, found: float) -> None:
    precision, recall = rates(by_hand(which), said)
    assert precision >= precise
    assert recall >= found


@pytest.mark.parametrize(
    ("text", "remedy"),
    [
        ("This is an updated TSB. Please discard the earlier letter.", Remedy.NOT_SAID),
        ("The ODS may have been calibrated wrongly and the pump was not tightened.", Remedy.NOT_SAID),
        ("Dealers will install new labels.", Remedy.NOTICE),
        ("The revised TSB lists repair instructions for the cluster logic improvement.", Remedy.SOFTWARE),
        ("The remedy is currently being developed and will include software.", Remedy.NOTICE),
        ("Dealers will inspect and, if necessary, replace the fuel pump.", Remedy.PART),
        ("Dealers will replace the fuel pump and reprogram the ECM.", Remedy.SOFTWARE_AND_PART),
        ("Inspect the BMS and, if necessary, update its software.", Remedy.INSPECT_THEN_SOFTWARE),
        ("The bulletin describes the TCU logic improvement.", Remedy.SOFTWARE),
        ("Dealers will re-tighten the bolts.", Remedy.INSPECTION),
    ],
)
def test_what_a_sentence_says_is_done(text: str, remedy: Remedy) -> None:
    assert read_remedy([text]).remedy is remedy


def test_several_documents_say_together_what_the_most_telling_one_says() -> None:
    letters = [
        "Owners will be notified.",
        "An interim notice was mailed.",
        "Dealers will reprogram the TCM.",
        "The TCM may slip.",
    ]
    assert read_remedy(letters) == RemedyRead(Remedy.SOFTWARE, "TCM")
    assert read_remedy([]) == RemedyRead()
