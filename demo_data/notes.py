"""The invented bulletins and lessons as drafts, dated back from the day the scenario is built for."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

from demo_data.makes import read_toml
from kb.nouns.notes import CodeKind, NoteCode, NoteDraft, NoteKind, NoteState, Remedy, SpeaksAgainst
from kb.nouns.vehicles import CalibrationStep, CoverageLine

_LISTS = ("precautions", "relearns", "exact_entries")
_CODES = (
    ("codes", CodeKind.DEFINING),
    ("codes_may_be_stored", CodeKind.MAY_BE_STORED),
    ("codes_not_part", CodeKind.NOT_PART),
)
_TEXTS = ("number", "title", "symptom", "body", "conditions", "system", "remedy_module")


def load_notes(today: date) -> tuple[NoteDraft, ...]:
    """Every note of the scenario; `published_on` is counted back from `today`."""
    bulletins = [_draft(row, NoteKind.BULLETIN, today) for row in read_toml("bulletins.toml")["bulletin"]]
    lessons = [_draft(row, NoteKind.LESSON, today) for row in read_toml("lessons.toml")["lesson"]]
    return (*bulletins, *lessons)


def _draft(row: Mapping[str, Any], kind: NoteKind, today: date) -> NoteDraft:
    plain: dict[str, Any] = {name: row.get(name, "") for name in _TEXTS}
    plain |= {name: tuple(row.get(name, ())) for name in _LISTS}
    return NoteDraft(
        kind=kind,
        **plain,
        codes=tuple(NoteCode(code, kind) for name, kind in _CODES for code in row.get(name, ())),
        speaks_against=tuple(SpeaksAgainst(**one) for one in row.get("speaks_against", ())),
        remedy=Remedy(row.get("remedy", "")),
        coverage=tuple(_coverage_line(line) for line in row.get("coverage", ())),
        steps=tuple(
            CalibrationStep(step["module"], tuple(step["old_ids"]), step["new_id"])
            for step in row.get("steps", ())
        ),
        state=NoteState(row.get("state", "published")),
        published_on=today - timedelta(days=row["days_ago"]),
        source="invented scenario",
        identity=row["number"],
    )


def _coverage_line(line: Mapping[str, Any]) -> CoverageLine:
    years = tuple((first, last) for first, last in line.get("years", ()))
    return CoverageLine(**{**line, "years": years})
