"""Notes as the search takes them in: many at a time, plain columns instead of rows."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from sqlalchemy import select
from sqlmodel import Session, col

from kb.nouns.notes import CodeKind
from kb.nouns.vehicles import Coverage, CoverageLine
from kb.records.store.imports.bulk import runs
from kb.records.store.rows import columns
from kb.records.tables import NoteCodeRow, NoteCoverage, NoteDocumentRow, NoteRow, NoteStep

CHUNK = 2000
_TEXTS = ("id", "kind", "number", "title", "symptom", "conditions", "body")
_COVERED = ("make", "model", "years", "engine", "built_from", "built_to", "vin_prefix")


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


def note_texts(session: Session, ids: Sequence[int]) -> Iterator[NoteText]:
    """The notes with these ids, however many, in the order of the ids.

    Lines of coverage and codes that many notes share are one object each: most of the memory of a big shop.
    """
    shared: dict[Any, Any] = {}
    for some in runs(ids, CHUNK):
        yield from _some(session, some, shared)


def _some(session: Session, ids: Sequence[int], shared: dict[Any, Any]) -> Iterator[NoteText]:
    documents = _lists(session, ids, NoteDocumentRow, "text")
    codes = _codes(session, ids)
    modules = _lists(session, ids, NoteStep, "module")
    coverage = _coverage(session, ids, shared)
    rows = session.execute(
        select(*columns(NoteRow, _TEXTS), col(NoteRow.remedy))
        .where(col(NoteRow.id).in_(ids))
        .order_by(col(NoteRow.id))
    )
    for *texts, remedy in rows:
        key = texts[0]
        parts = [_one(shared, tuple(some.get(key, ()))) for some in (codes, modules, coverage)]
        yield NoteText._make((*texts, tuple(documents.get(key, ())), *parts, remedy))


def _one(shared: dict[Any, Any], value: Any) -> Any:
    """The first of equal values."""
    return shared.setdefault(value, value)


def _codes(session: Session, ids: Sequence[int]) -> Mapping[int, list[str]]:
    """The codes of each note, without those that it says are not part of the condition."""
    found: dict[int, list[str]] = defaultdict(list)
    query = (
        select(col(NoteCodeRow.note_id), col(NoteCodeRow.code))
        .where(col(NoteCodeRow.note_id).in_(ids), col(NoteCodeRow.kind) != CodeKind.NOT_PART.value)
        .order_by(col(NoteCodeRow.code))
    )
    for note_id, code in session.execute(query):
        found[note_id].append(code)
    return found


def _lists(session: Session, ids: Sequence[int], part: Any, name: str) -> Mapping[int, list[str]]:
    found: dict[int, list[str]] = defaultdict(list)
    query = select(part.note_id, getattr(part, name)).where(part.note_id.in_(ids)).order_by(part.id)
    for note_id, text in session.execute(query):
        found[note_id].append(text)
    return found


def _coverage(
    session: Session, ids: Sequence[int], shared: dict[Any, Any]
) -> Mapping[int, list[CoverageLine]]:
    found: dict[int, list[CoverageLine]] = defaultdict(list)
    rows = session.execute(
        select(col(NoteCoverage.note_id), *columns(NoteCoverage, _COVERED))
        .where(col(NoteCoverage.note_id).in_(ids))
        .order_by(col(NoteCoverage.id))
    )
    for note_id, make, model, years, *more in rows:
        ranges = tuple((first, last) for first, last in years)
        found[note_id].append(_one(shared, CoverageLine(make, model, ranges, *more)))
    return found
