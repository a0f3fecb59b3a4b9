"""The table of a file is found wherever it stands: any separator, encoding, preamble, sheet and total."""

from __future__ import annotations

from datetime import date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.errors import BadInput
from kb.intake.columns import own_table
from kb.intake.history import history
from kb.intake.history.history_row import HistoryRow
from kb.intake.own_table.totals import is_no_row
from kb.intake.rows import ReadOptions, RowError, Severity
from kb.nouns.imports import DaysWritten, Encoding, Layout, Separator
from tests.kb.intake.own_table.writing import as_text, as_workbook
from tests.kb.intake.reading import TODAY

HEADER = ["RO #", "Date In", "Concern", "Mileage", "TSB"]
PREAMBLE = [["Bright Street Garage"], ["Repair history"], ["From 1/1/2025", "To 12/31/2025"], []]
TOTALS = [["Total", "", "", "12"], ["Page 2 of 2"], ["2 rows"], ["*** End of report ***"]]
# Letters that every one of these encodings has, and a word that has commas and semicolons in it.
words = (
    st.text(st.sampled_from("abcdefgh é à ü ñ ,;|'\""), min_size=1, max_size=12).map(str.strip).filter(bool)
)
rows = st.lists(
    st.tuples(st.integers(10_000, 99_999), words, st.integers(1, 200_000)), min_size=3, max_size=12
)


@given(
    rows,
    st.sampled_from([*Separator]),
    st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be"]),
    st.booleans(),
    st.booleans(),
)
def test_rows_come_out_as_they_went_in(
    told: list[tuple[int, str, int]], sign: Separator, encoding: str, above: bool, below: bool
) -> None:
    body = [[str(n), "2025-03-31", text, str(miles), ""] for n, text, miles in told]
    written = [*(PREAMBLE if above else []), HEADER, *body, *(TOTALS if below else [])]
    table = own_table(as_text(written, sign, encoding), no_row=is_no_row)
    found = [row for row in table.rows() if not isinstance(row, RowError)]
    notices = [row for row in table.rows() if isinstance(row, RowError)]
    assert list(table.header) == HEADER
    assert table.layout.header_line == (len(PREAMBLE) + 1 if above else 1)
    assert [cells for _, cells in found] == body
    assert [one.severity for one in notices] == [Severity.NOTICE] * (len(TOTALS) if below else 0)


@given(
    st.lists(
        st.sampled_from(["café", "brûlé", "Müller’s", "señor", "90° – warm", "“dies”", "plain"]), min_size=1
    )
)
def test_one_byte_letters_are_told_apart_by_what_people_write(said: list[str]) -> None:
    for encoding in (Encoding.WINDOWS, Encoding.MAC):
        table = own_table(
            as_text([HEADER, ["1", "2025-03-31", " ".join([*said, "café"]), "1", ""]], ",", encoding)
        )
        [(_, cells)] = [row for row in table.rows() if not isinstance(row, RowError)]
        assert cells[2] == " ".join([*said, "café"])
        assert table.layout.encoding is encoding


def test_what_is_said_of_a_file_goes_before_what_is_found() -> None:
    data = as_text([["a;b", "c"], ["x;y", "z"], HEADER, ["1", "", "é", "2", ""]], ",", "latin-1")
    table = own_table(data, Layout(1, Separator.SEMICOLON, Encoding.MAC))
    assert table.header == ("a", "b,c")
    with pytest.raises(BadInput, match="Line 99 cannot be read"):
        own_table(data, Layout(99))


def test_a_workbook_reads_as_its_twin_in_text() -> None:
    """Cells of days hold serial numbers there; the twin spells them."""
    told = [
        ("2087", date(2025, 3, 31), "bucks uphill", 69_810, "TRN-19-044A"),
        ("2088", date(2024, 2, 29), "stalls", 1_000.0, "TRN-19-044A"),
        ("2089", datetime(2025, 12, 31, 14, 5), "dies", 12, ""),  # noqa: DTZ001  # a cell has no zone
    ]
    sheet = [*PREAMBLE, HEADER, *map(list, told), ["Total", "", "", 70_822]]
    book = as_workbook({"Cover": [["Bright Street Garage"]], "Orders": sheet})
    twin = as_text(
        [
            *PREAMBLE,
            HEADER,
            *([n, f"{day:%m/%d/%Y}", text, f"{miles:,.0f}", tsb] for n, day, text, miles, tsb in told),
        ],
        ";",
        "cp1252",
    )
    table = own_table(book)
    assert (table.layout.sheet, table.layout.header_line, table.sheets) == ("Orders", 5, ("Cover", "Orders"))
    assert rows_of(book) == rows_of(twin)
    with pytest.raises(BadInput, match=r"has no sheet “Bills”. It has “Cover”, “Orders”"):
        own_table(book, Layout(sheet="Bills"))


def rows_of(data: bytes) -> list[HistoryRow]:
    names = dict(zip(HEADER, ("ro_number", "opened_on", "complaint", "odometer", "update"), strict=True))
    items = history.read(data, ReadOptions(TODAY, names, DaysWritten.MONTH_FIRST))
    return [one for one in items if isinstance(one, HistoryRow)]


def test_a_spreadsheet_s_own_hint_and_quotes_between_tabs_are_understood() -> None:
    hinted = own_table(b"sep=;\nRO;Concern, as told;TSB\n1;a,b,c,d;x\n2;a,b,c,d,e;x\n")
    assert (hinted.header, hinted.layout.header_line) == (("RO", "Concern, as told", "TSB"), 2)
    tabs = own_table(b'RO\tConcern\tTSB\n1\t"check engine" lamp on\tx\n')
    assert [row for row in tabs.rows() if not isinstance(row, RowError)] == [
        (2, ["1", '"check engine" lamp on', "x"])
    ]
