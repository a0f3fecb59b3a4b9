"""Notes as JSON lines: one note a line, in the fields of a note of the JSON interface (POST /api/notes).

Two more fields are read: `source` (where it came from, "shop" if left out) and `identity` (what an import
knows the note by again; otherwise its kind and number, or its title). Only `kind` and `title` must be there.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import fields, replace
from typing import Any

from pydantic import TypeAdapter, ValidationError

from kb.intake.notes.notes_row import identity_of
from kb.intake.rows import NoteItem, ParsedNote, ReadSummary, RowError, Severity
from kb.intake.source import TextFile
from kb.nouns.notes import NoteDraft
from kb.vehicle.codes import note_code

_DRAFT = TypeAdapter(NoteDraft)
_FIELDS = frozenset({one.name for one in fields(NoteDraft)} | {"code_kinds"})


def are_json_lines(source: TextFile) -> bool:
    """Whether the file begins as JSON lines do, and no table does."""
    with source.open() as text:
        return next((line for line in text if line.strip()), "").lstrip().startswith("{")


def to_line(draft: NoteDraft) -> str:
    """The note as one line, without line end."""
    said = _DRAFT.dump_python(draft, mode="json")
    kinds = {one["code"]: one["kind"] for one in said.pop("codes")}
    return json.dumps({**said, "codes": list(kinds), "code_kinds": kinds}, ensure_ascii=False)


def read_lines(source: TextFile) -> Iterator[NoteItem]:
    """Every line as a note or an error with its number."""
    yield from source.warnings
    met: dict[str, int] = {}
    left_out: dict[str, int] = {}
    counted = errors = 0
    with source.open() as text:
        for number, line in enumerate(text, start=1):
            if not line.strip():
                continue
            counted += 1
            item = _read(number, line, left_out)
            if isinstance(item, ParsedNote):
                first = met.setdefault(item.draft.identity, number)
                item = item if first == number else _again(number, first)
            errors += isinstance(item, RowError)
            yield item
    for name, number in left_out.items():
        yield RowError(number, name, f"The field “{name}” is left out: notes have none.", Severity.NOTICE)
    yield ReadSummary(counted, 0, counted - errors, errors, len(source.warnings))


def _read(number: int, line: str, left_out: dict[str, int]) -> ParsedNote | RowError:
    try:
        said = json.loads(line)
        if not isinstance(said, dict):
            raise TypeError("not an object")
        for name in said.keys() - _FIELDS:
            left_out.setdefault(name, number)
        draft = _DRAFT.validate_python({**_known(said), "codes": _codes(said)})
    except ValidationError as wrong:
        first = wrong.errors()[0]
        place = ".".join(map(str, first["loc"]))
        return RowError(number, str(first["loc"][0]), f"The field {place} cannot be read: {first['msg']}.")
    except (ValueError, TypeError, AttributeError):
        return RowError(number, "", 'This line is no JSON object of a note: {"kind": …, "title": …}.')
    key = {"kind": draft.kind.value, "number": draft.number, "title": draft.title}
    return ParsedNote(number, replace(draft, identity=draft.identity or identity_of(key)))


def _known(said: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in said.items() if key in _FIELDS and key != "code_kinds"}


def _codes(said: dict[str, Any]) -> list[Any]:
    """Each code with what is said of it; one of which nothing is said is read as everywhere else."""
    kinds = said.get("code_kinds") or {}
    named = dict.fromkeys((*(said.get("codes") or ()), *kinds))
    return [{"code": code, "kind": kinds.get(code, note_code(str(code)).kind)} for code in named]


def _again(number: int, first: int) -> RowError:
    return RowError(
        number, "", f"Line {first} has this note already. Give one of them another number or title."
    )
