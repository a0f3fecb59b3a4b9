"""A note says of each code what it means, what speaks against its remedy, and what the remedy is.

Codes on file are taken as defining, save those that many faults set; those may be stored. Calibration steps
mean that the remedy is software.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0006"

_note = sa.table("note", sa.column("id", sa.Integer), sa.column("remedy", sa.String))
_step = sa.table("note_step", sa.column("note_id", sa.Integer))
_code = sa.table("note_code", *(sa.column(name, sa.String) for name in ("code", "kind")))
_revision = sa.table("note_revision", sa.column("id", sa.Integer), sa.column("content", sa.JSON))
_GENERAL = re.compile(
    r"(P017[1-5]|P03(0\d|1[0-2])|P056[23]|U300[36]|B1317|B1318|B1325|U0[12][0-9A-F]{2})(-..)?"
)
_AT_A_TIME = 2000


def upgrade() -> None:
    op.add_column(
        "note", sa.Column("speaks_against", sa.JSON(), nullable=False, server_default=sa.text("'[]'"))
    )
    op.add_column("note", sa.Column("remedy", sa.String(), nullable=False, server_default=""))
    op.add_column("note", sa.Column("remedy_module", sa.String(), nullable=False, server_default=""))
    op.add_column("note_code", sa.Column("kind", sa.String(), nullable=False, server_default="defining"))
    codes = op.get_bind().execute(sa.select(_code.c.code).distinct()).scalars()
    general = [code for code in codes if _GENERAL.fullmatch(code)]
    op.execute(_code.update().where(_code.c.code.in_(general)).values(kind="may_be_stored"))
    op.execute(_note.update().where(_note.c.id.in_(sa.select(_step.c.note_id))).values(remedy="software"))
    for some in _revisions():
        op.get_bind().execute(
            _revision.update()
            .where(_revision.c.id == sa.bindparam("this"))
            .values(content=sa.bindparam("new", type_=sa.JSON)),
            some,
        )


def downgrade() -> None:
    """Old programs read over what the kept revisions say more."""
    op.drop_column("note_code", "kind")
    for name in ("remedy_module", "remedy", "speaks_against"):
        op.drop_column("note", name)


def _revisions() -> Iterator[list[dict[str, Any]]]:
    """Kept revisions that name codes, with what each code means, some at a time."""
    after = 0
    while True:
        rows = op.get_bind().execute(
            sa.select(_revision.c.id, _revision.c.content)
            .where(_revision.c.id > after)
            .order_by(_revision.c.id)
            .limit(_AT_A_TIME)
        )
        found = [(row.id, row.content) for row in rows]
        if not found:
            return
        after = found[-1][0]
        named = [{"this": i, "new": _with_kinds(content)} for i, content in found if content.get("codes")]
        if named:
            yield named


def _with_kinds(content: dict[str, Any]) -> dict[str, Any]:
    kinds = {c: "may_be_stored" if _GENERAL.fullmatch(c) else "defining" for c in content["codes"]}
    return {**content, "code_kinds": content.get("code_kinds", kinds)}
