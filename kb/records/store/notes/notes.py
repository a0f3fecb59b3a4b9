"""Reading notes: whole, as lines of a list, and what others need of them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any, TypeVar

from sqlalchemy import ColumnElement, Row, Select, func, or_, select, update
from sqlmodel import Session, SQLModel, col

from kb.nouns.copying import copied
from kb.nouns.notes import (
    CodeKind,
    Note,
    NoteCode,
    NoteDocument,
    NoteDraft,
    NoteKind,
    NoteState,
    Remedy,
    SpeaksAgainst,
)
from kb.nouns.vehicles import CalibrationStep, CoverageLine
from kb.records.store.imports.bulk import runs
from kb.records.store.notes.note_content import LINES
from kb.records.store.rows import columns, rows_where
from kb.records.tables import (
    NoteCodeRow,
    NoteCoverage,
    NoteDocumentRow,
    NoteRevision,
    NoteRow,
    NoteStep,
)

Part = TypeVar("Part", bound=SQLModel)
IN_A_LIST = (
    *("id", "version", "kind", "number", "title", "state", "system", "source", "published_on"),
    *("changed_at", "author"),
)


def kinds_of(session: Session, shop_id: int, note_ids: Collection[int]) -> dict[int, str]:
    """The kind of each of these notes that is on file."""
    if not note_ids:
        return {}
    query = select(col(NoteRow.id), col(NoteRow.kind)).where(
        col(NoteRow.shop_id) == shop_id, col(NoteRow.id).in_(sorted(set(note_ids)))
    )
    return {note_id or 0: kind for note_id, kind in session.execute(query)}


def notes_with_ids(session: Session, shop_id: int, ids: Iterable[int]) -> dict[int, Note]:
    """Whole notes by id; an id of nothing is left out. Meant for at most some hundreds at a time."""
    wanted = list(dict.fromkeys(ids))
    if not wanted:
        return {}
    rows = session.execute(
        select(NoteRow).where(col(NoteRow.shop_id) == shop_id, col(NoteRow.id).in_(wanted))
    ).scalars()
    coverage = _by_note(session, NoteCoverage, wanted)
    codes = _by_note(session, NoteCodeRow, wanted)
    steps = _by_note(session, NoteStep, wanted)
    documents = _by_note(session, NoteDocumentRow, wanted)
    return {
        row.id or 0: _note(row, coverage[row.id], codes[row.id], steps[row.id], documents[row.id])
        for row in rows
    }


def page_of_notes(
    session: Session,
    shop_id: int,
    *,
    kind: str,
    state: str,
    make: str,
    text: str,
    offset: int,
    limit: int,
) -> tuple[int, Sequence[Row[Any]]]:
    """How many notes fit, and one page of (id, version, kind, number, title, state, published_on, ...)."""
    fits = conditions_of(shop_id, kind, state, make, text)
    total: int = session.execute(select(func.count()).select_from(NoteRow).where(*fits)).scalar_one()
    newest = (
        select(*columns(NoteRow, IN_A_LIST))
        .where(*fits)
        .order_by(col(NoteRow.changed_at).desc(), col(NoteRow.id).desc())
    )
    return total, session.execute(newest.offset(offset).limit(limit)).all()


def revisions_of(session: Session, note_id: int) -> list[NoteRevision]:
    """Every kept revision, the newest first."""
    newest = col(NoteRevision.version).desc()
    return rows_where(session, NoteRevision, col(NoteRevision.note_id) == note_id, by=(newest,))


def revision_of(session: Session, note_id: int, version: int) -> NoteRevision | None:
    return session.execute(
        select(NoteRevision).where(col(NoteRevision.note_id) == note_id, col(NoteRevision.version) == version)
    ).scalar_one_or_none()


def published_steps(session: Session, shop_id: int) -> list[tuple[int, str, CalibrationStep]]:
    """The calibration steps of every published note, with the note's id and identity."""
    rows = session.execute(
        select(
            col(NoteStep.note_id),
            col(NoteRow.identity),
            col(NoteStep.module),
            col(NoteStep.old_ids),
            col(NoteStep.new_id),
        )
        .join(NoteRow, col(NoteRow.id) == col(NoteStep.note_id))
        .where(col(NoteRow.shop_id) == shop_id, col(NoteRow.state) == NoteState.PUBLISHED.value)
        .order_by(col(NoteStep.id))
    )
    return [
        (row.note_id, row.identity, CalibrationStep(row.module, tuple(row.old_ids), row.new_id))
        for row in rows
    ]


def ids_by_identity(session: Session, shop_id: int, identities: Sequence[str]) -> dict[str, int]:
    """Which notes a re-import knows by these identities; of several the last made."""
    found: dict[str, int] = {}
    pairs = select(col(NoteRow.identity), col(NoteRow.id)).where(col(NoteRow.shop_id) == shop_id)
    for some in runs(identities):
        known = pairs.where(col(NoteRow.identity).in_(some))
        for row in session.execute(known.order_by(col(NoteRow.id))):
            found[row.identity] = row.id
    found.pop("", None)
    return found


def set_merged_into(session: Session, note_id: int, keep_id: int | None) -> None:
    """Point a retired duplicate at the note that was kept, or take that back."""
    session.execute(update(NoteRow).where(col(NoteRow.id) == note_id).values(merged_into_id=keep_id))


def merged_into_of(session: Session, shop_id: int, note_id: int) -> int | None:
    """The note that this duplicate went to, or None."""
    target = col(NoteRow.merged_into_id)
    return session.execute(
        select(target).where(col(NoteRow.shop_id) == shop_id, col(NoteRow.id) == note_id)
    ).scalar_one_or_none()


def makes_of(session: Session, ids: Sequence[int]) -> Mapping[int, set[str]]:
    """The makes that each of these notes covers, as written."""
    found: dict[int, set[str]] = defaultdict(set)
    pairs = select(col(NoteCoverage.note_id), col(NoteCoverage.make)).distinct()
    for some in runs(ids):
        for row in session.execute(pairs.where(col(NoteCoverage.note_id).in_(some))):
            found[row.note_id].add(row.make)
    return found


def conditions_of(shop_id: int, kind: str, state: str, make: str, text: str) -> list[ColumnElement[bool]]:
    """What the notes of a list fulfill; empty texts ask nothing."""
    fits: list[ColumnElement[bool]] = [col(NoteRow.shop_id) == shop_id]
    if kind:
        fits.append(col(NoteRow.kind) == kind)
    if state:
        fits.append(col(NoteRow.state) == state)
    if make.strip():
        fits.append(col(NoteRow.id).in_(_covering(make)))
    for word in text.split():
        fields = (NoteRow.number, NoteRow.title, NoteRow.symptom)
        fits.append(or_(*(func.lower(col(f)).contains(word.lower(), autoescape=True) for f in fields)))
    return fits


def _covering(make: str) -> Select[int]:
    """Notes that cover a make; case, spaces and hyphens are folded as in kb.vehicle."""
    folded = func.replace(func.replace(func.lower(col(NoteCoverage.make)), " ", ""), "-", "")
    return select(col(NoteCoverage.note_id)).where(folded == make.lower().replace(" ", "").replace("-", ""))


def _by_note(session: Session, part: type[Part], ids: Sequence[int]) -> Mapping[int | None, list[Part]]:
    found: dict[int | None, list[Part]] = defaultdict(list)
    table: Any = part
    order = table.code if part is NoteCodeRow else table.id
    for row in session.execute(select(part).where(table.note_id.in_(ids)).order_by(order)).scalars():
        found[row.note_id].append(row)
    return found


def _note(
    row: NoteRow,
    coverage: Sequence[NoteCoverage],
    codes: Sequence[NoteCodeRow],
    steps: Sequence[NoteStep],
    documents: Sequence[NoteDocumentRow],
) -> Note:
    content = copied(
        NoteDraft,
        row,
        kind=NoteKind(row.kind),
        codes=tuple(NoteCode(c.code, CodeKind(c.kind)) for c in codes),
        coverage=tuple(coverage_line(line) for line in coverage),
        steps=tuple(calibration_step(s) for s in steps),
        documents=tuple(NoteDocument(d.name, d.text) for d in documents),
        speaks_against=tuple(SpeaksAgainst(**one) for one in row.speaks_against),
        remedy=Remedy(row.remedy),
        state=NoteState(row.state),
        **{name: tuple(getattr(row, name)) for name in LINES},
    )
    return copied(Note, row, id=row.id or 0, content=content)


def coverage_line(row: NoteCoverage) -> CoverageLine:
    return copied(CoverageLine, row, years=tuple((int(a), int(b)) for a, b in row.years))


def calibration_step(row: NoteStep) -> CalibrationStep:
    return CalibrationStep(row.module, tuple(row.old_ids), row.new_id)
