"""Notes as files that the importer reads back: CSV in its own columns, or JSON lines."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from itertools import zip_longest
from types import MappingProxyType

from kb.intake.cells import write_cell
from kb.intake.notes.note_lines import to_line
from kb.intake.notes.notes import COLUMNS
from kb.intake.notes.notes_row import identity_of
from kb.nouns.notes import NoteCode, NoteDocument, NoteDraft
from kb.nouns.starting_checks import STARTING_CHECKS
from kb.nouns.vehicles import CalibrationStep, CoverageLine
from kb.vehicle.codes import note_code

Cells = dict[str, str]
_BYTE_ORDER_MARK = "\ufeff"
_CHECKS_OF_EVERY_SHOP = frozenset(check.key for check in STARTING_CHECKS)
_TEXTS = ("symptom", "conditions", "body", "system", "remedy_module")
_LINES = ("precautions", "relearns", "exact_entries", "replaces")


def portable(drafts: Iterable[NoteDraft]) -> Iterator[NoteDraft]:
    """The drafts as another shop can take them.

    Each has an identity that no other has. Of what speaks against, only checks that every shop has are named:
    others are made anew from the words. What it replaces is named by number: ids mean other notes elsewhere.
    """
    given: set[str] = set()
    for draft in drafts:
        key = {"kind": draft.kind.value, "number": draft.number, "title": draft.title}
        identity = _apart(draft.identity or identity_of(key), given)
        given.add(identity)
        against = (
            one if one.check in _CHECKS_OF_EVERY_SHOP else replace(one, check="")
            for one in draft.speaks_against
        )
        yield replace(without_ids(draft), identity=identity, speaks_against=tuple(against))


def without_ids(draft: NoteDraft) -> NoteDraft:
    """The draft with what it replaces by number alone."""
    return replace(draft, replaces=tuple(one for one in draft.replaces if not one.startswith("#")))


def csv_lines(drafts: Iterable[NoteDraft]) -> Iterator[str]:
    """A first line with the names of the columns, then one row or several a note; no cell is a formula.

    It begins with a byte order mark, by which spreadsheets know UTF-8.
    """
    yield _BYTE_ORDER_MARK + _row(COLUMNS)
    for draft in drafts:
        for cells in _rows(draft):
            yield _row(_as_read(cells.get(name, "")) for name in COLUMNS)


def json_lines(drafts: Iterable[NoteDraft]) -> Iterator[str]:
    """One note a line."""
    for draft in drafts:
        yield to_line(draft) + "\n"


FORMS: Mapping[str, Callable[[Iterable[NoteDraft]], Iterator[str]]] = MappingProxyType(
    {"csv": csv_lines, "jsonl": json_lines}
)
"""Each form by the ending of its files."""


def _apart(identity: str, given: set[str]) -> str:
    names = (f"{identity} ({number})" if number > 1 else identity for number in range(1, len(given) + 2))
    return next(name for name in names if name not in given)


def _row(cells: Iterable[str]) -> str:
    line = io.StringIO()
    csv.writer(line).writerow([write_cell(cell) for cell in cells])
    return line.getvalue()


def _as_read(text: str) -> str:
    """Line ends as the reader leaves them, so that what was read back is written the same."""
    return text.replace("\r\n", "\n")


def _rows(draft: NoteDraft) -> Iterator[Cells]:
    parts = zip_longest(draft.coverage, draft.steps, draft.documents)
    first: Cells = _once(draft)
    again = {name: first[name] for name in ("kind", "number", "title", "note_identity")}
    for line, step, document in (
        parts if any((draft.coverage, draft.steps, draft.documents)) else [(None,) * 3]
    ):
        yield first | _coverage(line) | _step(step) | _document(document)
        first = again


def _once(draft: NoteDraft) -> Cells:
    """What stands in the first row of a note alone; its name stands in each."""
    said = (f"{one.says} = {one.check}" if one.check else one.says for one in draft.speaks_against)
    return {
        "kind": draft.kind.value,
        "number": draft.number.strip(),
        "title": draft.title.strip(),
        "note_identity": draft.identity,
        "note_source": draft.source,
        "state": draft.state.value,
        "published_on": draft.published_on.isoformat() if draft.published_on else "",
        "remedy": draft.remedy.value.replace("_", " "),
        "codes": ", ".join(one.code for one in draft.codes),
        "code_kinds": ", ".join(map(_kind, filter(_is_odd, draft.codes))),
        "speaks_against": "\n".join(said),
        **{name: getattr(draft, name).strip() for name in _TEXTS},
        **{name: "\n".join(dict.fromkeys(getattr(draft, name))) for name in _LINES},
    }


def _is_odd(one: NoteCode) -> bool:
    """Whether a reader would take the code for something else than the note says."""
    return one != note_code(one.code)


def _kind(one: NoteCode) -> str:
    return f"{one.code} {one.kind.value.replace('_', ' ')}"


def _coverage(line: CoverageLine | None) -> Cells:
    if line is None:
        return {}
    return {
        "make": line.make.strip(),
        "model": line.model.strip(),
        "years": line.years_said,
        "engine": line.engine.strip(),
        "built_from": line.built_from.isoformat() if line.built_from else "",
        "built_to": line.built_to.isoformat() if line.built_to else "",
        "vin_prefix": line.vin_prefix.strip(),
    }


def _step(step: CalibrationStep | None) -> Cells:
    if step is None:
        return {}
    old = ", ".join(step.old_ids)
    return {"module": step.module, "calibration_before": old, "calibration_after": step.new_id}


def _document(document: NoteDocument | None) -> Cells:
    if document is None:
        return {}
    return {"document_name": document.name.strip(), "document_text": document.text}
