"""Which makes the shop's records speak of, and notes by their printed numbers."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import NamedTuple

from sqlalchemy import String, cast, func, select
from sqlmodel import Session, col

from kb.nouns.notes import HISTORY, NoteState
from kb.nouns.vehicles import fold_id
from kb.records.store.imports.bulk import runs
from kb.records.store.rows import folded, folded_part
from kb.records.tables import MakeRequirement, NoteCoverage, NoteRow, NoteStep, VehicleRow


def makes_on_record(session: Session, shop_id: int, but_vehicle: int | None = None) -> set[str]:
    """Makes of notes, vehicles (but one) and requirements in force, as written."""
    of_notes = (
        select(col(NoteCoverage.make))
        .join(NoteRow, col(NoteRow.id) == col(NoteCoverage.note_id))
        .where(col(NoteRow.shop_id) == shop_id)
    )
    of_vehicles = select(col(VehicleRow.make)).where(
        col(VehicleRow.shop_id) == shop_id, col(VehicleRow.id) != (but_vehicle or 0)
    )
    asked_for = select(col(MakeRequirement.make)).where(
        col(MakeRequirement.shop_id) == shop_id, col(MakeRequirement.retired_on).is_(None)
    )
    return {
        make
        for wanted in (of_notes, of_vehicles, asked_for)
        for make in session.execute(wanted.distinct()).scalars()
        if make
    }


def models_on_record(session: Session, shop_id: int) -> list[tuple[str, str]]:
    """(make, model) of everything that notes are for, each once, as written."""
    found = (
        select(col(NoteCoverage.make), col(NoteCoverage.model))
        .join(NoteRow, col(NoteRow.id) == col(NoteCoverage.note_id))
        .where(col(NoteRow.shop_id) == shop_id)
    )
    return sorted((make, model) for make, model in session.execute(found.distinct()))


class Numbered(NamedTuple):
    """A note by its printed number."""

    id: int
    number: str
    kind: str
    state: str


def notes_numbered(session: Session, shop_id: int, numbers: Iterable[str]) -> list[Numbered]:
    """The notes with one of these printed numbers, however they are written."""
    wanted = sorted({fold_id(number) for number in numbers} - {""})
    found = select(col(NoteRow.id), col(NoteRow.number), col(NoteRow.kind), col(NoteRow.state)).where(
        col(NoteRow.shop_id) == shop_id
    )
    rows = [
        Numbered(*row)
        for some in runs(wanted)
        for row in session.execute(found.where(col(NoteRow.number_folded).in_(some)))
    ]
    return sorted(rows)


def left_by_history(session: Session, shop_id: int, numbers: Iterable[str]) -> dict[str, int]:
    """By folded number the bare bulletin that a history made of it, the first of several.

    One that was merged or retired is none.
    """
    wanted = sorted({fold_id(number) for number in numbers} - {""})
    found = select(col(NoteRow.number_folded), col(NoteRow.id)).where(
        col(NoteRow.shop_id) == shop_id,
        col(NoteRow.source) == HISTORY,
        col(NoteRow.state) == NoteState.DRAFT.value,
        col(NoteRow.merged_into_id).is_(None),
    )
    newest_first = found.order_by(col(NoteRow.id).desc())
    return {
        number: note_id
        for some in runs(wanted)
        for number, note_id in session.execute(newest_first.where(col(NoteRow.number_folded).in_(some)))
        if note_id
    }


def notes_with_calibration(
    session: Session, shop_id: int, part: str, kinds: Collection[str], most: int
) -> list[int]:
    """Ids of published notes of these kinds with a calibration ID that holds this part, however written."""
    written = cast(col(NoteStep.old_ids), String) + "," + col(NoteStep.new_id)
    found = session.execute(
        select(col(NoteRow.id))
        .join(NoteStep, col(NoteStep.note_id) == col(NoteRow.id))
        .where(
            col(NoteRow.shop_id) == shop_id,
            col(NoteRow.state) == NoteState.PUBLISHED.value,
            col(NoteRow.kind).in_(kinds),
            folded(written).contains(folded_part(part), autoescape=True),
        )
        .distinct()
        .order_by(col(NoteRow.id).desc())
        .limit(most)
    )
    return list(found.scalars())


def has_series(session: Session, shop_id: int, letters: str) -> bool:
    """Whether a note on file has a number of these letters and then no further letter."""
    found = session.execute(
        select(col(NoteRow.number))
        .where(
            col(NoteRow.shop_id) == shop_id,
            func.lower(col(NoteRow.number)).startswith(letters.lower(), autoescape=True),
        )
        .limit(200)
    ).scalars()
    return any(not number[len(letters) : len(letters) + 1].isalpha() for number in found)
