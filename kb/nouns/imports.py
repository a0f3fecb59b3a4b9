"""How a file of the shop's own is to be read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType

from kb.nouns.lead.notes_wanted import VEHICLES_OF_ANY_MAKE, NotesWanted

FORMATS: Mapping[str, str] = MappingProxyType(
    {
        "history": "the shop's history (CSV, TSV, .xlsx)",
        "notes": "bulletins and lessons in bulk (CSV, TSV, .xlsx, JSON lines)",
        "recall-communications": "recall communications (6-field CSV or its zip)",
        "manufacturer-communications": "manufacturer communications (14 fields, TAB, or the zip)",
        "service-bulletins": "older service bulletins (10 fields, TAB, or the zip)",
    }
)
"""What may be brought into a shop, by the name that people type, with what it is in a few words."""


class DaysWritten(StrEnum):
    """The order in which a file writes its days. ISO days (2026-03-31) are read whatever is chosen."""

    YEAR_FIRST = "year-month-day"
    MONTH_FIRST = "month/day/year"
    DAY_FIRST = "day/month/year"


class Separator(StrEnum):
    """What stands between the columns of a text file."""

    COMMA = ","
    SEMICOLON = ";"
    TAB = "\t"
    PIPE = "|"


class Encoding(StrEnum):
    """How a text file writes its letters."""

    UTF_8 = "utf-8"
    UTF_16 = "utf-16"
    WINDOWS = "cp1252"
    LATIN_1 = "latin-1"
    MAC = "mac_roman"


@dataclass(frozen=True, slots=True)
class Layout:
    """Where the table of a file stands. What is 0 or empty is found by looking at the file.

    `header_line`: the line of the file, or row of the sheet, that names the columns. `separator` and
    `encoding` are of text files, `sheet` is the name of one of a workbook.
    """

    header_line: int = 0
    separator: Separator | None = None
    encoding: Encoding | None = None
    sheet: str = ""


AS_FOUND = Layout()
REASON_COLUMN = "why it was left out"
"""Heads the reasons in a file of rows that were left out; no column of the shop's own."""


@dataclass(frozen=True, slots=True)
class HowToRead:
    """`columns` maps a column's name in the file to ours, to nothing where it is to be left out.

    A column that is not in it is read if it has one of our names. `wanted`: which notes of the government's.
    `take_texts`: a text that is no number of a bulletin is the name of an update all the same.
    """

    columns: Mapping[str, str] = field(default_factory=dict)
    days: DaysWritten = DaysWritten.YEAR_FIRST
    wanted: NotesWanted = VEHICLES_OF_ANY_MAKE
    layout: Layout = AS_FOUND
    take_texts: bool = False


AS_IT_STANDS = HowToRead()
