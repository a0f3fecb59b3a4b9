"""What goes with a settled line, windows confirmed by a lead, and the operating system a make asks for.

"Required" of the cameras said nothing of whether it was done: it is read as not done.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from kb.records.migrations.new_tables import moments, new_table, of_shop, texts

revision = "0010"
down_revision = "0013"

_tick = sa.table("prep_tick", sa.column("item", sa.String), sa.column("measured", sa.String))
_CAMERAS = {"required": "required_not_done", "not required": "not_required"}


def upgrade() -> None:
    op.add_column("prep_tick", sa.Column("said", sa.JSON(), nullable=False, server_default="{}"))
    op.add_column(
        "make_requirement", sa.Column("operating_system", sa.String(), nullable=False, server_default="")
    )
    new_table("confirmed_window", of_shop(), texts("printed", "source", "by"), moments("at"))
    _rename(_CAMERAS)


def downgrade() -> None:
    _rename({new: old for old, new in _CAMERAS.items()} | {"required_done": "required"})
    op.drop_table("confirmed_window")
    op.drop_column("make_requirement", "operating_system")
    op.drop_column("prep_tick", "said")


def _rename(answers: dict[str, str]) -> None:
    for old, new in answers.items():
        of_cameras = (_tick.c.item == "release-cameras", _tick.c.measured == old)
        op.execute(_tick.update().where(*of_cameras).values(measured=new))
