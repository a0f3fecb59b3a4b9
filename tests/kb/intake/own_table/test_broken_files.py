"""Files that are no table, or a trap: each is refused with a sentence that says what to do, and quickly."""

from __future__ import annotations

import io
import zipfile

import pytest

from kb.errors import KbError, Unreadable
from kb.intake.columns import own_table
from kb.intake.history import history
from kb.intake.rows import ReadOptions
from tests.kb.intake.own_table.writing import as_workbook
from tests.kb.intake.reading import TODAY, read

BOOK = as_workbook({"Orders": [["RO", "Concern"], ["1", "bucks"]]})


def changed_book(name: str, data: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(BOOK)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for member in old.infolist():
            new.writestr(member.filename, data if member.filename == name else old.read(member))
    return out.getvalue()


SHEET = "xl/worksheets/sheet1.xml"
FAR = (
    b'<worksheet><sheetData><row r="1"><c r="A1"><v>1</v></c></row>'
    b'<row r="1048576"><c r="XFD1048576"><v>1</v></c></row></sheetData></worksheet>'
)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"%PDF-1.7\n%\xe2\xe3\n1 0 obj", "This is a PDF"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600), "with a password"),
        (b"<!DOCTYPE html><html><table>", "web page"),
        (b"", "empty"),
        (b"\xef\xbb\xbf \r\n", "empty|names of the columns"),
        (BOOK[: len(BOOK) // 2], "damaged"),
        (changed_book(SHEET, b"<nonsense"), "damaged|empty"),
        (changed_book(SHEET, b" " * (600 << 20)), "too big"),
        (changed_book(SHEET, FAR), "too big"),
        (as_workbook({"Empty": []}), "empty"),
    ],
    ids=[
        "pdf",
        "password",
        "web page",
        "nothing",
        "blank",
        "cut",
        "no sheet",
        "bomb",
        "far cells",
        "empty sheet",
    ],
)
def test_a_file_that_is_no_table_says_what_to_do(data: bytes, says: str) -> None:
    with pytest.raises(Unreadable, match=says) as refused:
        own_table(data)
    assert refused.value.message.endswith(".")


def test_one_column_is_told_to_be_one() -> None:
    with pytest.raises(KbError, match="one column only"):
        history.read(b"RO\n1\n2\n", ReadOptions(TODAY, {"RO": "ro_number"}))


def test_ragged_rows_and_open_quotes_cost_themselves_alone() -> None:
    result = read(
        "history", b'ro_number,complaint,codes\n1,bucks\n2,bucks,P0171,x\n3,"bucks,\n4,stalls,P0171\n,,,,\n'
    )
    assert [row.ro_number for row in result.rows] == ["1", "4"]
    assert [(one.line, one.message.split(" ")[0]) for one in result.errors] == [(3, "This"), (4, "This")]
