"""Tables written as programs write them, to be read again."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

import xlsxwriter


def as_text(rows: Sequence[Sequence[str]], separator: str, encoding: str, line_end: str = "\r\n") -> bytes:
    out = io.StringIO()
    csv.writer(out, delimiter=separator, lineterminator=line_end).writerows(rows)
    return out.getvalue().encode(encoding)


def as_workbook(sheets: dict[str, Sequence[Sequence[Any]]]) -> bytes:
    """Days as cells of a date format, so that the file holds their serial numbers."""
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True})
    day = book.add_format({"num_format": "dd-mmm-yy"})
    moment = book.add_format({"num_format": "m/d/yy h:mm"})
    for name, rows in sheets.items():
        sheet = book.add_worksheet(name)
        for at, row in enumerate(rows):
            for place, cell in enumerate(row):
                if isinstance(cell, datetime):
                    sheet.write_datetime(at, place, cell, moment)
                elif isinstance(cell, date):
                    sheet.write_datetime(at, place, cell, day)
                elif isinstance(cell, str):
                    sheet.write_string(at, place, cell)
                else:
                    sheet.write(at, place, cell)
    book.close()
    return out.getvalue()
