"""Every preparation list of the invented shop refuses 11.9 V and takes 13.5 V, whatever its window.

The windows are retyped from the requirements of the four makes in demo_data/told/shop.toml.
"""

from __future__ import annotations

import pytest

from demo_data.notes import load_notes
from demo_data.shop import load_shop
from kb.desk.bay.programming.prep_lines import STARTING, as_printed
from kb.desk.shop.requirements import RequirementDraft, RequirementView
from kb.errors import BadInput
from kb.nouns.notes import Note
from kb.prep.limits import read_value
from kb.prep.line_standing import must_be_right
from kb.prep.lines import PrepLine, read_lines
from tests.kb.demo.conftest import TODAY

WINDOWS = {"Tarn": (13.2, 13.8), "Orsel": (13.0, 14.0), "Brell": (13.0, 13.6), "Hespar": (13.5, 14.0)}


def support_lines() -> list[tuple[str, PrepLine]]:
    """(make, line) for every update's list."""
    asked = load_shop(TODAY).requirements
    found = []
    for n, note in enumerate(load_notes(TODAY), 1):
        for make in {line.make for line in note.coverage if note.steps}:
            views = [
                RequirementView(at, RequirementDraft(one.make, "battery", one.text, one.module))
                for at, one in enumerate(asked, 1)
                if one.make == make
            ]
            printed = as_printed(Note(n, 1, note), views, ())
            lines = {one.key: one for one in read_lines(printed, STARTING, ask_ripple=False)}
            found.append((make, lines["support_voltage"]))
    return found


def test_every_list_of_the_demo_refuses_11_9_volts_and_takes_13_5() -> None:
    lists = support_lines()
    assert {make for make, _ in lists} == set(WINDOWS)
    assert len(lists) >= 16
    for make, line in lists:
        assert line.ends == WINDOWS[make]
        must_be_right(line, read_value("13.5", "V", line.limits))
        with pytest.raises(BadInput) as refused:
            must_be_right(line, read_value("11.9", "V", line.limits))
        assert "measured" in refused.value.fields
