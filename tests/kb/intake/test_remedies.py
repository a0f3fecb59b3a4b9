"""What a text says is done, and to which module, against 180 texts marked by hand from the text alone.

The 120 to choose by were read while the rule was made; the 60 to judge by were marked and counted after it.
"""

from __future__ import annotations

import csv
from collections.abc import Callable

import pytest

from kb.intake.government.remedies import RemedyRead, read_remedy
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


@pytest.mark.parametrize(
    ("text", "remedy"),
    [
        ("Body Control Module (BCM) Configuration Update", Remedy.SOFTWARE),
        ("The pump needs a software (OS) update.", Remedy.SOFTWARE),
        ("Hints about the order of software updates.", Remedy.SOFTWARE),
        (
            "Notice of a recall that calls for a firmware update and asks for owner addresses.",
            Remedy.SOFTWARE,
        ),
        (
            "The bulletin was revised since firmware 7.1 has come: availability of firmware 7.1.",
            Remedy.SOFTWARE,
        ),
        ("A car that was updated before would still need the newly updated software.", Remedy.SOFTWARE),
        ("A letter on how to get new diagnostic software updates.", Remedy.SOFTWARE),
        ("The fix is a firmware update to install on the finished vehicle.", Remedy.SOFTWARE),
        ("The hardware and the software must be updated at the shop.", Remedy.SOFTWARE_AND_PART),
    ],
)
def test_software_goes_by_many_words(text: str, remedy: Remedy) -> None:
    assert read_remedy([text]).remedy is remedy


@pytest.mark.parametrize(
    "text",
    [
        "A fault in a dealer software update lets the cluster count wrongly.",
        "The OTA website is down this evening.",
        "Cars that are OTA equipped may show an error.",
        "Your dealer's scan tablet will receive a software update on Tuesday.",
        "The recall software may not have been loaded, and cells that require replacement stay unseen.",
        "Dealers are reminded of updated information on returns.",
        "Dealers learn by letter how to repair the affected units.",
        "Tires sold in the replacement market will crack.",
    ],
)
def test_words_of_software_and_parts_that_are_no_remedy(text: str) -> None:
    assert read_remedy([text]).remedy is Remedy.NOT_SAID


@pytest.mark.parametrize(
    "text",
    [
        "Interim dealer letter.",
        "Second mailing: owner interim, in Spanish.",
        "Interim renotification.",
        "Early word to dealers, repair not available.",
        "Another letter comes when software and loading steps are available.",
        "Certification tag replacement instructions.",
        "The shelf holds additional pages, an update to the manual.",
    ],
)
def test_what_is_still_to_come_or_is_print_is_a_notice(text: str) -> None:
    assert read_remedy([text]).remedy is Remedy.NOTICE


@pytest.mark.parametrize(
    ("text", "remedy"),
    [
        ("You were told that parts were not available. The parts are now available for repair.", Remedy.PART),
        ("Look for an early inspection. Levers with these dates must be replaced.", Remedy.PART),
        ("Dealers will look for the mark and replace the windows with the corrected label.", Remedy.PART),
        ("Dealers will remove the labels and replace with revised labels.", Remedy.NOTICE),
        ("Clips must be inspected and set right.", Remedy.INSPECTION),
        ("Front radar calibration", Remedy.INSPECTION),
    ],
)
def test_parts_and_looks_beside_print(text: str, remedy: Remedy) -> None:
    assert read_remedy([text]).remedy is remedy


@pytest.mark.parametrize(
    ("text", "module"),
    [
        ("The sensing and diagnostic module (SDM) may fail.", "SRS"),
        ("The instrument panel display may go dark.", "cluster"),
        ("The digital cockpit unit (VCU) may go dark.", "cluster"),
        ("A lamp lights on the instrument cluster, and the pump stops.", ""),
        ("Dealers will update the radio software for the rear camera.", "infotainment"),
        ("Dealers will update the hybrid power control unit software.", "inverter"),
        ("The panoramic view monitoring shows the wrong side.", "camera"),
        ("Owners get a card on Feb. 3.", ""),
    ],
)
def test_the_module_goes_by_many_names(text: str, module: str) -> None:
    assert read_remedy([text]).module == module


def test_several_documents_say_together_what_the_most_telling_one_says() -> None:
    letters = [
        "Owners will be notified.",
        "An interim notice was mailed.",
        "Dealers will reprogram the TCM.",
        "The TCM may slip.",
    ]
    assert read_remedy(letters) == RemedyRead(Remedy.SOFTWARE, "TCM")
    assert read_remedy([]) == RemedyRead()
