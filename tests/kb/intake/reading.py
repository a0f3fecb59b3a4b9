"""What the tests of the importers share: reading a whole file and sorting what came out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from kb.intake.formats import FORMATS
from kb.intake.history.history import HistoryRow
from kb.intake.rows import ParsedNote, ReadOptions, ReadSummary, RowError, Severity
from kb.nouns.lead.notes_wanted import VEHICLES_OF_ANY_MAKE, NotesWanted
from kb.nouns.notes import NoteDraft

FIXTURES = Path(__file__).parent / "fixtures"
TODAY = date(2026, 11, 25)


@dataclass(frozen=True)
class Result:
    notes: list[NoteDraft]
    rows: list[HistoryRow]
    errors: list[RowError]
    warnings: list[RowError]
    notices: list[RowError]
    summary: ReadSummary
    lines: list[int]


def read(
    name: str,
    data: bytes,
    columns: Mapping[str, str] | None = None,
    wanted: NotesWanted = VEHICLES_OF_ANY_MAKE,
) -> Result:
    items = list(FORMATS[name].read(data, ReadOptions(TODAY, columns or {}, wanted=wanted)))
    troubles = [i for i in items if isinstance(i, RowError)]
    parsed = [i for i in items if isinstance(i, ParsedNote)]
    summary = items[-1]
    assert isinstance(summary, ReadSummary), "the summary is the last item of every import"
    result = Result(
        [p.draft for p in parsed],
        [i for i in items if isinstance(i, HistoryRow)],
        [t for t in troubles if t.severity is Severity.ERROR],
        [t for t in troubles if t.severity is Severity.WARNING],
        [t for t in troubles if t.severity is Severity.NOTICE],
        summary,
        [p.line for p in parsed],
    )
    assert summary.taken == len(result.notes) + len(result.rows)
    assert (summary.errors, summary.warnings) == (len(result.errors), len(result.warnings))
    return result
