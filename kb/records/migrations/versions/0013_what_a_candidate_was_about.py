"""Whether a candidate is about its concern: not looked at yet for those of before."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0013"
down_revision = "0008"


def upgrade() -> None:
    with op.batch_alter_table("concern_candidate") as table:
        table.add_column(sa.Column("about", sa.Boolean(), nullable=True))
        table.add_column(sa.Column("about_rule", sa.Integer(), nullable=False, server_default="0"))
        table.add_column(sa.Column("about_version", sa.Integer(), nullable=False, server_default="0"))


def downgrade() -> None:
    with op.batch_alter_table("concern_candidate") as table:
        for name in ("about", "about_rule", "about_version"):
            table.drop_column(name)
