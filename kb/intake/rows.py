"""What every importer gives: notes or rows, errors with their line, and a summary at the end."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from kb.nouns.imports import AS_FOUND, DaysWritten, Layout
from kb.nouns.lead.notes_wanted import VEHICLES_OF_ANY_MAKE, NotesWanted, NotWanted
from kb.nouns.notes import NoteDraft


class Severity(StrEnum):
    """An error keeps its row out; a warning lets it in; a notice is of the file and counts as no problem."""

    ERROR = "error"
    WARNING = "warning"
    NOTICE = "notice"


@dataclass(frozen=True, slots=True)
class RowError:
    """What is wrong with one line of a file (the header is line 1), in a sentence that says what to do.

    `field` is the column, empty where the whole row is meant; line 0 means the whole file.
    """

    line: int
    field: str
    message: str
    severity: Severity = Severity.ERROR


@dataclass(frozen=True, slots=True)
class UnreadRow(RowError):
    """A row that cannot be read at all, with its cells as well as they can be told."""

    cells: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ParsedNote:
    """A note and the line of the file where it began."""

    line: int
    draft: NoteDraft


@dataclass(frozen=True, slots=True)
class ReadSummary:
    """The last item of every import. `rows` counts data rows, good or bad; `doubles` exact repeats of a row
    before; `taken` notes or history rows given out; `not_wanted` good notes that the shop does not want.
    """

    rows: int = 0
    doubles: int = 0
    taken: int = 0
    errors: int = 0
    warnings: int = 0
    not_wanted: Mapping[NotWanted, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class ReadOptions:
    """What an importer cannot know from the file: the shop's date, its names of columns, how it writes days.

    `columns`, `days`, `layout` and `take_texts` as in HowToRead; the formats of the government have their
    own. `window_days`: from how many days after a reflash the shop calls it cured. `numbers`: updates that
    are on file by number, folded, which are one however they are written. `wanted`: which notes of the
    government's.
    """

    today: date
    columns: Mapping[str, str] = field(default_factory=dict)
    days: DaysWritten = DaysWritten.YEAR_FIRST
    window_days: int = 90
    wanted: NotesWanted = VEHICLES_OF_ANY_MAKE
    layout: Layout = AS_FOUND
    take_texts: bool = False
    numbers: Collection[str] = ()


NoteItem = ParsedNote | RowError | ReadSummary
