"""How a file of the shop's own is to be read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from kb.nouns.lead.notes_wanted import VEHICLES_OF_ANY_MAKE, NotesWanted


class DaysWritten(StrEnum):
    """The order in which a file writes its days. ISO days (2026-03-31) are read whatever is chosen."""

    YEAR_FIRST = "year-month-day"
    MONTH_FIRST = "month/day/year"
    DAY_FIRST = "day/month/year"


@dataclass(frozen=True, slots=True)
class HowToRead:
    """`columns` maps a column's name in the file to ours, to nothing where it is to be left out.

    A column that is not in it is read if it has one of our names. `wanted`: which notes of the government's.
    """

    columns: Mapping[str, str] = field(default_factory=dict)
    days: DaysWritten = DaysWritten.YEAR_FIRST
    wanted: NotesWanted = VEHICLES_OF_ANY_MAKE


AS_IT_STANDS = HowToRead()
