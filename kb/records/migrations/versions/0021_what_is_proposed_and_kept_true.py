"""Proposals to the lead; notes by folded number, what they replace, and when they were last looked at."""

from __future__ import annotations

import re
import unicodedata

import sqlalchemy as sa
from alembic import op
from sqlmodel.sql.sqltypes import AutoString

from kb.records.migrations.new_tables import moments, new_table, numbers, of_shop, refers, texts, trees

revision = "0021"
down_revision = "0020"
branch_labels = None
depends_on = None

_note = sa.table("note", *(sa.column(name) for name in ("id", "number", "number_folded")))
_AT_A_TIME = 2000


def upgrade() -> None:
    for name in ("number_folded", "looked_at_by"):
        op.add_column("note", sa.Column(name, AutoString(), nullable=False, server_default=""))
    op.add_column("note", sa.Column("replaces", sa.JSON(), nullable=False, server_default=sa.text("'[]'")))
    for name in ("looked_at_on", "look_again_on"):
        op.add_column("note", sa.Column(name, sa.Date(), nullable=True))
    for name in ("number_folded", "look_again_on"):
        op.create_index(f"ix_note_{name}", "note", [name])
    op.add_column("search_log", sa.Column("set_aside_by", AutoString(), nullable=False, server_default=""))
    new_table(
        "note_replaced",
        refers("note_id", "note", indexed=False),
        texts("number"),
        key=("note_id", "number"),
        indexes={"ix_note_replaced_number": ("number",)},
    )
    new_table(
        "proposal",
        of_shop(),
        texts("kind", "state"),
        refers("concern_id", "concern", maybe=True),
        refers("note_id", "note", maybe=True),
        trees("content"),
        texts("made_by"),
        moments("made_at"),
        texts("answer", "answered_by"),
        moments("answered_at", maybe=True),
        refers("made_note_id", "note", maybe=True),
        refers("made_check_id", "diagnostic_check", maybe=True, indexed=False),
        numbers("version"),
        indexes={"proposal_by_state": ("shop_id", "state")},
    )
    _fold_numbers()


def downgrade() -> None:
    op.drop_table("proposal")
    op.drop_table("note_replaced")
    op.drop_column("search_log", "set_aside_by")
    for name in ("number_folded", "look_again_on"):
        op.drop_index(f"ix_note_{name}", "note")
    for name in ("number_folded", "looked_at_by", "replaces", "looked_at_on", "look_again_on"):
        op.drop_column("note", name)


def _fold_numbers() -> None:
    rows = op.get_bind().execute(sa.select(_note.c.id, _note.c.number).where(_note.c.number != ""))
    found = [{"this": note_id, "folded": _folded(number)} for note_id, number in rows]
    change = _note.update().where(_note.c.id == sa.bindparam("this"))
    change = change.values(number_folded=sa.bindparam("folded"))
    for start in range(0, len(found), _AT_A_TIME):
        op.get_bind().execute(change, found[start : start + _AT_A_TIME])


def _folded(number: str) -> str:
    """As kb.nouns.vehicles.fold_id does on this day."""
    if re.fullmatch(r"[0-9]+(?:[.,][0-9]+)+", number.strip()):
        return number.strip()
    plain = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", number).upper())
    return "".join(one for one in plain if one.isalnum()) or "".join(number.split())
