"""Cells of CSV files that a spreadsheet must not take for formulas.

A cell that begins with = + - @ (or their full-width forms, a tab or a line end) is written with an
apostrophe in front; reading takes that apostrophe away again and touches no other. A cell that already looks
written so gets one more, so that reading what was written always gives the same text.
"""

from __future__ import annotations

import re

_STARTS = "=+\\-@\uff1d\uff0b\uff0d\uff20\t\r\n"
_RISKY = re.compile(f"'*[{_STARTS}]")
_WRITTEN = re.compile(f"'+[{_STARTS}]")


def write_cell(text: str) -> str:
    """The text as a cell that every spreadsheet shows as text."""
    return f"'{text}" if _RISKY.match(text) else text


def read_cell(cell: str) -> str:
    """The text of a cell; the inverse of write_cell."""
    return cell[1:] if _WRITTEN.match(cell) else cell
