"""One row of our notes format, and the note that several of them make."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from itertools import chain

from kb.errors import BadInput
from kb.intake.fields import read_day
from kb.intake.notes.note_words import against_of, as_word, codes_of
from kb.intake.rows import RowError, Severity
from kb.nouns.model_years import parse_years
from kb.nouns.notes import NoteCode, NoteDocument, NoteDraft, NoteKind, NoteState, Remedy
from kb.nouns.vehicles import CalibrationStep, CoverageLine

_ONCE = (
    "title",
    "symptom",
    "conditions",
    "body",
    "system",
    "state",
    "published_on",
    "remedy",
    "remedy_module",
    "note_source",
)


@dataclass(frozen=True, slots=True)
class NoteRow:
    """A row that could be read: its cells, and the parts that are more than text."""

    line: int
    cells: Mapping[str, str]
    codes: tuple[NoteCode, ...]
    coverage: CoverageLine | None
    step: CalibrationStep | None
    document: NoteDocument | None


def identity_of(cells: Mapping[str, str]) -> str:
    """What makes several rows one note, and what a later file knows it by: kind and number, or the title.

    A file that names the note's own identity means that one.
    """
    if named := cells.get("note_identity", ""):
        return named
    number, title = cells.get("number", ""), cells.get("title", "")
    kind = cells.get("kind", "") or NoteKind.BULLETIN
    return ":".join(("notes", kind.casefold(), " ".join((number or title).casefold().split())))


def read_row(line: int, cells: Mapping[str, str]) -> tuple[NoteRow | None, tuple[RowError, ...]]:
    """The row, or None with everything that must be corrected in it."""
    try:
        _check_words(cells)
        codes = codes_of(cells.get("codes", ""), cells.get("code_kinds", ""))
        return NoteRow(line, cells, codes, _coverage(cells), _step(cells), _document(cells)), ()
    except BadInput as wrong:
        return None, (RowError(line, next(iter(wrong.fields), ""), wrong.message),)


def draft_of(rows: Sequence[NoteRow]) -> tuple[NoteDraft, tuple[RowError, ...]]:
    """The note that the rows make together, and a warning for every text that differs from the first."""
    once, warnings = _first_texts(rows)
    first = rows[0].cells
    kind = NoteKind(first.get("kind", "").casefold() or NoteKind.BULLETIN)
    draft = NoteDraft(
        kind=kind,
        number=first.get("number", ""),
        title=once.get("title", ""),
        symptom=once.get("symptom", ""),
        conditions=once.get("conditions", ""),
        body=once.get("body", ""),
        system=once.get("system", ""),
        codes=tuple(dict.fromkeys(chain.from_iterable(row.codes for row in rows))),
        coverage=tuple(dict.fromkeys(row.coverage for row in rows if row.coverage)),
        steps=tuple(dict.fromkeys(row.step for row in rows if row.step)),
        precautions=_lines(rows, "precautions"),
        relearns=_lines(rows, "relearns"),
        exact_entries=_lines(rows, "exact_entries"),
        speaks_against=tuple(map(against_of, _lines(rows, "speaks_against"))),
        replaces=_lines(rows, "replaces"),
        remedy=Remedy(as_word(once.get("remedy", ""))),
        remedy_module=once.get("remedy_module", ""),
        state=NoteState(once.get("state", "").casefold() or NoteState.PUBLISHED),
        published_on=read_day(once.get("published_on", "")),
        documents=tuple(row.document for row in rows if row.document),
        source=once.get("note_source", "") or "shop",
        identity=identity_of(first),
    )
    return draft, warnings


def _check_words(cells: Mapping[str, str]) -> None:
    """Refuse a row without title and number, and words outside the few that a column takes."""
    if not (cells.get("title") or cells.get("number")):
        raise BadInput("A note needs a title or a number. Enter one.", fields={"title": "missing"})
    known: tuple[tuple[str, type[StrEnum]], ...] = (
        ("kind", NoteKind),
        ("state", NoteState),
        ("remedy", Remedy),
    )
    for column, words in known:
        said = cells.get(column, "")
        if said and as_word(said) not in set(words):
            some = " or ".join(word.replace("_", " ") for word in words if word)
            raise BadInput(f'"{said}" is not known. Write {some}.', fields={column: said})
    _day(cells, "published_on")


def _day(cells: Mapping[str, str], column: str) -> date | None:
    try:
        return read_day(cells.get(column, ""))
    except BadInput as wrong:
        raise BadInput(wrong.message, fields={column: wrong.message}) from wrong


def _coverage(cells: Mapping[str, str]) -> CoverageLine | None:
    """The row's line of coverage; None where all its columns are empty."""
    line = CoverageLine(
        make=cells.get("make", ""),
        model=cells.get("model", ""),
        years=parse_years(cells.get("years", "")),
        engine=cells.get("engine", ""),
        built_from=_day(cells, "built_from"),
        built_to=_day(cells, "built_to"),
        vin_prefix=cells.get("vin_prefix", ""),
    )
    return None if line == CoverageLine(make="") else line


def _step(cells: Mapping[str, str]) -> CalibrationStep | None:
    """The row's calibration step; None where none of its columns is filled."""
    module, new = cells.get("module", ""), cells.get("calibration_after", "")
    old = tuple(i.strip() for i in re.split(r"[,;]", cells.get("calibration_before", "")) if i.strip())
    if not (old or new):
        return None
    if not new or not module:
        missing = "calibration_after" if module else "module"
        raise BadInput(f"A calibration step needs its {missing}. Enter it.", fields={missing: "missing"})
    return CalibrationStep(module, old, new)


def _document(cells: Mapping[str, str]) -> NoteDocument | None:
    name, text = cells.get("document_name", ""), cells.get("document_text", "")
    return NoteDocument(name, text) if name or text else None


def _lines(rows: Sequence[NoteRow], column: str) -> tuple[str, ...]:
    """One entry a line, as printed; empty lines and repeats left out."""
    said = chain.from_iterable(row.cells.get(column, "").splitlines() for row in rows)
    return tuple(dict.fromkeys(line for line in said if line.strip()))


def _first_texts(rows: Sequence[NoteRow]) -> tuple[dict[str, str], tuple[RowError, ...]]:
    """For every column that a note has once its first text, and warnings for others."""
    once: dict[str, str] = {}
    warnings: list[RowError] = []
    for row in rows:
        for column in filter(row.cells.get, _ONCE):
            if once.setdefault(column, row.cells[column]) != row.cells[column]:
                message = f"An earlier row of this note has another {column}; that one was kept."
                warnings.append(RowError(row.line, column, message, Severity.WARNING))
    return once, tuple(warnings)
