"""Which makes the shop's records speak of, and notes by their printed numbers."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import NamedTuple

from sqlalchemy import ColumnElement, String, cast, func, select
from sqlmodel import Session, col

from kb.nouns.notes import NoteState
from kb.records.tables import MakeRequirement, NoteCoverage, NoteRow, NoteStep, VehicleRow

_LEFT_OUT_OF_NUMBERS = ("-", " ", ".", "/", "_")


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


def fold_number(number: str) -> str:
    """A printed number for comparing: capitals, blanks, hyphens, points and strokes aside."""
    folded = number.strip().lower()
    for sign in _LEFT_OUT_OF_NUMBERS:
        folded = folded.replace(sign, "")
    return folded


class Numbered(NamedTuple):
    """A note by its printed number."""

    id: int
    number: str
    kind: str
    state: str


def notes_numbered(session: Session, shop_id: int, numbers: Sequence[str]) -> list[Numbered]:
    """The notes with one of these printed numbers, however they are written."""
    wanted = {fold_number(number) for number in numbers} - {""}
    if not wanted:
        return []
    folded: ColumnElement[str] = func.lower(col(NoteRow.number))
    for sign in _LEFT_OUT_OF_NUMBERS:
        folded = func.replace(folded, sign, "")
    found = session.execute(
        select(col(NoteRow.id), col(NoteRow.number), col(NoteRow.kind), col(NoteRow.state))
        .where(col(NoteRow.shop_id) == shop_id, col(NoteRow.number) != "", folded.in_(sorted(wanted)))
        .order_by(col(NoteRow.id))
    )
    return [Numbered(*row) for row in found]


def notes_with_calibration(
    session: Session, shop_id: int, part: str, kinds: Collection[str], most: int
) -> list[int]:
    """Ids of published notes of these kinds with a calibration ID that holds this part, however written."""
    plain = part.lower().replace("-", "")
    written = func.lower(cast(col(NoteStep.old_ids), String) + " " + col(NoteStep.new_id))
    found = session.execute(
        select(col(NoteRow.id))
        .join(NoteStep, col(NoteStep.note_id) == col(NoteRow.id))
        .where(
            col(NoteRow.shop_id) == shop_id,
            col(NoteRow.state) == NoteState.PUBLISHED.value,
            col(NoteRow.kind).in_(kinds),
            func.replace(written, "-", "").contains(plain, autoescape=True),
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
