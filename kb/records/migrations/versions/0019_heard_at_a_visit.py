"""With which later concern of a vehicle something was heard of an earlier one; of those on file none was."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0019"
down_revision = "0017"


def upgrade() -> None:
    at_visit = sa.Column("at_visit", sa.Integer(), sa.ForeignKey("concern.id"), nullable=True)
    op.add_column("follow_up", at_visit, inline_references=True)
    op.create_index("ix_follow_up_at_visit", "follow_up", ["at_visit"])
    op.create_index("follow_up_written", "follow_up", ["recorded_at", "by"])


def downgrade() -> None:
    """SQLite takes no column with a reference out: its table is made anew."""
    op.drop_index("follow_up_written", "follow_up")
    op.drop_index("ix_follow_up_at_visit", "follow_up")
    with op.batch_alter_table("follow_up") as table:
        table.drop_column("at_visit")
