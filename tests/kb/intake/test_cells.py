from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.intake.cells import read_cell, write_cell

risky = st.text(st.sampled_from("'=+-@\t\r\n＝ a1"), max_size=6)


@given(st.one_of(st.text(), risky))
def test_reading_a_written_cell_gives_the_same_text(text: str) -> None:
    assert read_cell(write_cell(text)) == text


# The signs are those of the OWASP page on CSV injection, from memory.
@given(st.one_of(st.text(), risky))
def test_no_written_cell_begins_like_a_formula(text: str) -> None:
    assert not write_cell(text).startswith(("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠"))


@given(st.lists(risky, min_size=1, max_size=4))
def test_a_row_survives_the_csv_writer_of_the_standard_library(texts: list[str]) -> None:
    file = io.StringIO(newline="")
    csv.writer(file, quoting=csv.QUOTE_ALL).writerow([write_cell(t) for t in texts])
    (row,) = csv.reader(io.StringIO(file.getvalue(), newline=""))
    assert [read_cell(cell) for cell in row] == texts


@pytest.mark.parametrize("text", ["'twas cold", "''", "rock 'n' roll", "P0171", ""])
def test_an_apostrophe_that_no_export_put_there_stays(text: str) -> None:
    assert read_cell(text) == text == write_cell(text)
