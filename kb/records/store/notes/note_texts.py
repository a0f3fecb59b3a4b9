"""Notes as the search takes them in: many at a time, plain columns instead of rows."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, Text, cast, select
from sqlmodel import Session, SQLModel

from kb.nouns.model_years import Ranges
from kb.nouns.notes import CodeKind
from kb.nouns.vehicles import Coverage, CoverageLine
from kb.records.store.imports.bulk import runs, table_of
from kb.records.tables import NoteCodeRow, NoteCoverage, NoteDocumentRow, NoteRow, NoteStep

CHUNK = 2000
_TEXTS = ("id", "kind", "number", "title", "symptom", "conditions", "body")
_COVERED = ("make", "model", "engine", "built_from", "built_to", "vin_prefix")


class NoteText(NamedTuple):
    """What of a note is searched."""

    id: int
    kind: str
    number: str
    title: str
    symptom: str
    conditions: str
    body: str
    documents: tuple[str, ...]
    codes: tuple[str, ...]
    modules: tuple[str, ...]
    coverage: Coverage
    remedy: str = ""


@dataclass(frozen=True, slots=True)
class Shared:
    """What many notes have alike, one object each: most of the memory of a big shop."""

    lines: dict[Any, CoverageLine] = field(default_factory=dict)
    """By the columns as they are read: of many alike, one is made."""
    coverages: dict[tuple[int, ...], Coverage] = field(default_factory=dict)
    """By which lines they are."""
    texts: dict[tuple[str, ...], tuple[str, ...]] = field(default_factory=dict)


def note_texts(session: Session, ids: Sequence[int], shared: Shared | None = None) -> Iterator[NoteText]:
    """The notes with these ids, however many, in the order of the ids; they share with what is `shared`."""
    session.flush()  # statements on tables do it not by themselves
    known = shared or Shared()
    for some in runs(ids, CHUNK):
        yield from _some(session, some, known)


def _some(session: Session, ids: Sequence[int], shared: Shared) -> Iterator[NoteText]:
    documents = _lists(session, ids, NoteDocumentRow, "text")
    codes = _codes(session, ids)
    modules = _lists(session, ids, NoteStep, "module")
    coverage = _coverage(session, ids, shared)
    notes = table_of(NoteRow).c
    rows = session.execute(
        select(*(notes[name] for name in _TEXTS), notes.remedy).where(notes.id.in_(ids)).order_by(notes.id)
    )
    for *texts, remedy in rows.all():
        key = texts[0]
        parts = [tuple(some.get(key, ())) for some in (codes, modules)]
        same = [shared.texts.setdefault(part, part) for part in parts]
        yield NoteText._make((*texts, tuple(documents.get(key, ())), *same, coverage.get(key, ()), remedy))


def _codes(session: Session, ids: Sequence[int]) -> Mapping[int, list[str]]:
    """The codes of each note, without those that it says are not part of the condition."""
    found: dict[int, list[str]] = defaultdict(list)
    codes = table_of(NoteCodeRow).c
    query = (
        select(codes.note_id, codes.code)
        .where(codes.note_id.in_(ids), codes.kind != CodeKind.NOT_PART.value)
        .order_by(codes.code)
    )
    for note_id, code in session.execute(query).all():
        found[note_id].append(code)
    return found


def _lists(session: Session, ids: Sequence[int], part: type[SQLModel], name: str) -> Mapping[int, list[str]]:
    found: dict[int, list[str]] = defaultdict(list)
    parts = table_of(part).c
    query = select(parts.note_id, parts[name]).where(parts.note_id.in_(ids)).order_by(parts.id)
    for note_id, text in session.execute(query).all():
        found[note_id].append(text)
    return found


def _coverage(session: Session, ids: Sequence[int], shared: Shared) -> Mapping[int, Coverage]:
    found: dict[int, list[CoverageLine]] = defaultdict(list)
    lines = table_of(NoteCoverage).c
    rows = session.execute(
        select(lines.note_id, *as_written()).where(lines.note_id.in_(ids)).order_by(lines.id)
    )
    for row in rows.all():
        key = row[1:]
        line = shared.lines.get(key)
        if line is None:
            line = shared.lines[key] = line_of(*key)
        found[row[0]].append(line)
    return {note: _as_one(shared, lines) for note, lines in found.items()}


def as_written() -> list[ColumnElement[Any]]:
    """The columns of a line of coverage, for `line_of`: its years as the JSON that they are kept as."""
    lines = table_of(NoteCoverage).c
    return [cast(lines.years, Text), *(lines[name] for name in _COVERED)]


def line_of(years: str, make: str, model: str, *more: Any) -> CoverageLine:
    return CoverageLine(make, model, _ranges(years), *more)


@lru_cache(maxsize=4_096)
def _ranges(years: str) -> Ranges:
    return tuple((first, last) for first, last in json.loads(years))


def _as_one(shared: Shared, lines: Sequence[CoverageLine]) -> Coverage:
    """Of equal ones the first."""
    key = tuple(map(id, lines))
    known = shared.coverages.get(key)
    if known is None:
        known = shared.coverages[key] = tuple(lines)
    return known
