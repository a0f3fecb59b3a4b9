"""Numbers, days and calibration IDs in running text; every text is invented, every answer worked by hand."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.intake.text.bulletin_numbers import bulletin_numbers_in
from kb.intake.text.calibration.ids import steps_in
from kb.intake.text.calibration.told import told_steps
from kb.intake.text.conditions import conditions_in
from kb.intake.text.days import days_in
from kb.intake.text.paper.layout import Paper
from kb.intake.text.proposal import Field
from kb.intake.text.reading import read_text
from kb.intake.text.software import software_in, steps_of
from kb.intake.text.symptoms import symptoms_in
from tests.kb.intake.text.reading import names


@pytest.mark.parametrize(
    ("text", "numbers"),
    [
        ("reprogrammed TCM per TRN-19-044A, road tested OK 3/14/2025", ["TRN-19-044A"]),
        ("per trn-19-044a", ["trn-19-044a"]),
        ("Performed NMC-TR-24-117A TCM update, still harsh", ["NMC-TR-24-117A"]),
        ("NHTSA ID 25V-838, call 800-633-5151", ["25V-838"]),
        ("see TSB 4471 for 2016-2019 MY", ["4471"]),
        ("Bulletin No.: 05-006/18 replaces 16-23-044", ["05-006/18", "16-23-044"]),
        ("Safety Recall Campaign (TC239)", ["TC239"]),
        ("P/N 95440-3B123, P0171, 13.2-13.8 V, 16-19 Tarn Vale, 2/14/24, 31-12-20, 12-14 minutes", []),
    ],
)
def test_numbers_of_bulletins_and_nothing_else(text: str, numbers: list[str]) -> None:
    assert [one.number for one in bulletin_numbers_in(text)] == numbers


@pytest.mark.parametrize(
    ("text", "days"),
    [
        ("April 23, 2021", [(date(2021, 4, 23), date(2021, 4, 23))]),
        ("14AUG2020 and 23 Apr 2021", [(date(2020, 8, 14),) * 2, (date(2021, 4, 23),) * 2]),
        ("4/23/21, 2021-04-23, 31/12/2020", [(date(2021, 4, 23),) * 2] * 2 + [(date(2020, 12, 31),) * 2]),
        ("February 2024", [(date(2024, 2, 1), date(2024, 2, 29))]),
        ("2/30/2021, part 12-34-5678, 800-555-0142", []),
    ],
)
def test_days_as_papers_print_them(text: str, days: list[tuple[date, date]]) -> None:
    assert [(one.first, one.last) for one in days_in(text)] == days


@pytest.mark.parametrize(
    ("text", "old", "new", "module"),
    [
        ("PCM: 0447B, 0447C -> 0447D", ("0447B", "0447C"), "0447D", "ECM"),
        ("updated TCM calibration from 0447B to 0447C, P0171 gone", ("0447B",), "0447C", "TCM"),
        ("Old ID: 0447B   New ID: 0447D", ("0447B",), "0447D", ""),
        ("Current ECU P/N 23710-T1A New ECU P/N 23710-T1B", ("23710-T1A",), "23710-T1B", ""),
        ("reflashed ECM 0447B to 0447C", ("0447B",), "0447C", "ECM"),
    ],
)
def test_an_old_id_becomes_a_new_one(text: str, old: tuple[str, ...], new: str, module: str) -> None:
    [step] = steps_in(text)
    assert (*step.ids(text), step.module) == (old, new, module)


@pytest.mark.parametrize(
    "text", ["drove from 2016 to 2019 at 40 to 50 mph", "from 13.2V to 14.8V", "P0171 to P0174"]
)
def test_what_is_no_id_is_no_step(text: str) -> None:
    assert list(steps_in(text)) == []


@pytest.mark.parametrize(
    ("text", "old", "new"),
    [
        ("If the ECM calibration is 3A1-10 or 3A1-14, update it to 3A1-30.", ("3A1-10", "3A1-14"), "3A1-30"),
        ("If the software is HB-0710 or earlier, update the BCM to HB-0733.", ("HB-0710",), "HB-0733"),
        ("ABS software: before 57110-K2A, after 57110-K2F", ("57110-K2A",), "57110-K2F"),
        ("Reprogram it with calibration 24276104. Previous: 24270010.", ("24270010",), "24276104"),
        (
            "Only part number 89661-H30 or 89661-H31. Reflash to 89661-H33.",
            ("89661-H30", "89661-H31"),
            "89661-H33",
        ),
        ("Update the display by USB. From: R14.2, R14.6 To: R15.1", ("R14.2", "R14.6"), "R15.1"),
        ("Reprogram the BECM to NB25-H0452. NB25-H0460 or later is not affected.", (), "NB25-H0452"),
    ],
)
def test_a_sentence_tells_the_old_and_the_new(text: str, old: tuple[str, ...], new: str) -> None:
    [step] = told_steps(Paper(text))
    assert step.ids(text) == (old, new)


@pytest.mark.parametrize(
    ("cell", "old"),
    [
        ("0447A, -B and -C", ["0447A", "0447B", "0447C"]),
        ("0447A/B", ["0447A", "0447B"]),
        ("T0447G thru T0447K", ["T0447G", "T0447H", "T0447J", "T0447K"]),
        ("0447A to 0447C", ["0447A", "0447B", "0447C"]),
        ("0447A-C", ["0447A-C"]),
    ],
)
def test_ids_that_a_list_prints_by_their_ends_are_written_out(cell: str, old: list[str]) -> None:
    paper = Paper(f"Reprogram the TCM.\nOld ID      New ID\n{cell}      0447M\n")
    read = [(one.field.value, one.value) for one in software_in(paper)]
    assert sorted(value for field, value in read if field == "old_id") == old
    assert ("new_id", "0447M") in read


@pytest.mark.parametrize(
    ("base", "rows", "steps"),
    [
        (
            "Calibration of the TCM: TV20T-4410",
            ("Current suffix    New suffix", "A, B              D", "C                 E"),
            [(("TV20T-4410A", "TV20T-4410B"), "TV20T-4410D"), (("TV20T-4410C",), "TV20T-4410E")],
        ),
        (
            "TCM software 23710-T1A-",
            ("| Old ending | New ending |", "| 02 | 05 |"),
            [(("23710-T1A-02",), "23710-T1A-05")],
        ),
    ],
)
def test_ends_of_ids_go_behind_what_the_line_above_prints(
    base: str, rows: tuple[str, ...], steps: list[tuple[tuple[str, ...], str]]
) -> None:
    paper = Paper("\n".join(("Reprogram the TCM.", base, *rows, "", "Perform the learn.")))
    assert [one.ids(paper.text) for one in steps_of(paper)] == steps
    assert {one.value for one in software_in(paper) if one.field is Field.MODULE} == {"TCM"}


def test_from_one_id_to_another_is_a_step_and_no_range() -> None:
    read = software_in(Paper("Update the TCM calibration from 0447A to 0447D."))
    assert [one.value for one in read if one.field in (Field.OLD_ID, Field.NEW_ID)] == ["0447A", "0447D"]


@pytest.mark.parametrize("apart", [" | ", "        ", "\t"])
def test_the_first_and_the_last_year_stand_in_two_columns(apart: str) -> None:
    rows = (("Model", "From", "To"), ("Vell", "2016", "2018"), ("Orren", "2020", "2021"))
    text = "\n".join(apart.join(row) for row in (*rows, ("Qty", "2005", "2009")))
    years = [int(one.value) for one in read_text(text, names()).proposals if one.field is Field.YEAR]
    assert years[:5] == [2016, 2017, 2018, 2020, 2021]


@pytest.mark.parametrize(
    ("text", "symptoms", "conditions"),
    [
        (
            "Owners Letter - After parking the wheel can loosen and detach, increasing the risk of a crash.",
            ["After parking the wheel can loosen and detach"],
            ["After parking the wheel"],
        ),
        (
            "This TCM update is to address a potential condition where the vehicle may stall at low speeds.",
            ["the vehicle may stall at low speeds"],
            ["at low speeds"],
        ),
        (
            "The seal may let moisture in. The horn will stop working when a fault occurs.",
            ["The horn will stop working when a fault occurs"],
            [],
        ),
    ],
)
def test_what_the_vehicle_does_is_told_without_what_stands_around_it(
    text: str, symptoms: list[str], conditions: list[str]
) -> None:
    paper = Paper(text)
    assert [one.value for one in symptoms_in(paper)] == symptoms
    assert [one.value for one in conditions_in(paper)] == conditions


@pytest.mark.parametrize(
    "text",
    [
        "Update the ECM. Bolt part number 90105-12345. Use tool T-1234-56 to remove it.",
        "Reprogram with the latest software. Labor operation 1234A1. Refer to TSB 22-114-03.",
    ],
)
def test_numbers_of_parts_and_tools_are_no_step(text: str) -> None:
    assert list(told_steps(Paper(text))) == []


@given(st.text(max_size=300))
def test_recognisers_take_any_text(text: str) -> None:
    assert all(text[one.begins : one.ends] == one.number for one in bulletin_numbers_in(text))
    assert all(one.first <= one.last for one in days_in(text))
    for step in steps_in(text):
        assert all(step.ids(text)[0])
