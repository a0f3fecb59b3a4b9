"""Families of model names: those that come with the program, and what a lead joined or took apart.

Every entry takes effect with the next search.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from kb.desk.context import Desk, anyone_in_the_shop, lead_or_owner
from kb.desk.saving import row_of, saved
from kb.errors import BadInput
from kb.records.store.notes import lexicon as store
from kb.records.tables import ModelFamily
from kb.vehicle.families import Families, FamilyEntry, entries_on_file, fold
from kb.vehicle.makes import usual_make

LONGEST = 80
MOST = 20


@dataclass(frozen=True, slots=True)
class FamilyLine:
    """One entry of the shop, and whether it was taken back."""

    id: int
    entry: FamilyEntry
    author: str
    added_at: datetime
    undone_by: str = ""
    undone_at: datetime | None = None

    @property
    def in_force(self) -> bool:
        return self.undone_at is None


def in_force(desk: Desk) -> Families:
    """The families that names of models are read by; remembered until an entry changes."""
    return desk.memory.recall("families", desk.revisions()["lexicon"], lambda: _read(desk))


@anyone_in_the_shop
def list_entries(desk: Desk) -> tuple[FamilyLine, ...]:
    """Every entry that the shop ever made, the newest first; undone ones stay visible."""
    return tuple(_line(row) for row in store.entries(desk.session, ModelFamily, desk.shop.id))


@anyone_in_the_shop
def list_on_file(desk: Desk) -> tuple[FamilyEntry, ...]:
    """The groups that come with the program."""
    return entries_on_file()


@lead_or_owner
def add_entry(desk: Desk, make: str, names: Sequence[str], *, apart: bool) -> FamilyLine:
    """Let names of one make be one family, or (`apart`) each a model of its own. Raises BadInput."""
    make, names = " ".join(make.split()), _names(names)
    faults = {}
    if not fold(make) or len(make) > LONGEST:
        faults["make"] = "Name the make."
    if not (1 if apart else 2) <= len(names) <= MOST or max(map(len, names), default=0) > LONGEST:
        few = "at least one name" if apart else "two names or more"
        faults["names"] = f"Enter {few} of this make's models, with commas between them."
    if faults:
        raise BadInput(" ".join(faults.values()), fields=faults)
    row = ModelFamily(
        shop_id=desk.shop.id,
        make=make,
        names=list(names),
        apart=apart,
        author=desk.actor.name,
        added_at=desk.now,
    )
    action = "took models apart" if apart else "joined models"
    return _line(saved(desk, row, action, "model family", "lexicon", make=make, names=list(names)))


@lead_or_owner
def undo_entry(desk: Desk, entry_id: int) -> FamilyLine:
    """Take an entry back; it stays in the list with who did it. Undoing twice changes nothing more."""
    row = row_of(desk, ModelFamily, entry_id, f"There is no entry {entry_id} of model families.")
    if row.undone_at is None:
        row.undone_by, row.undone_at = desk.actor.name, desk.now
        saved(desk, row, "undid", "model family", "lexicon", make=row.make, names=row.names)
    return _line(row)


def _read(desk: Desk) -> Families:
    ours = (_line(row) for row in reversed(store.entries(desk.session, ModelFamily, desk.shop.id)))
    return Families.of((*entries_on_file(), *(one.entry for one in ours if one.in_force)))


def _names(typed: Sequence[str]) -> tuple[str, ...]:
    """The names, each once, as first written."""
    kept: dict[str, str] = {}
    for name in (" ".join(one.split()) for one in typed):
        kept.setdefault(fold(name), name)
    kept.pop("", None)
    return tuple(kept.values())


def _line(row: ModelFamily) -> FamilyLine:
    entry = FamilyEntry(usual_make(row.make), tuple(row.names), row.apart)
    return FamilyLine(row.id or 0, entry, row.author, row.added_at, row.undone_by, row.undone_at)
