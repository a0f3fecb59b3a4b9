"""A failure may be of a day that nobody knows; an answer keeps the call it settled, and can be put right."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    op.add_column("follow_up", sa.Column("day_known", sa.Boolean(), nullable=False, server_default=sa.true()))
    op.add_column("follow_up", sa.Column("settled_call_on", sa.Date(), nullable=True))
    op.add_column("follow_up", sa.Column("version", sa.Integer(), nullable=False, server_default="1"))


def downgrade() -> None:
    op.drop_column("follow_up", "version")
    op.drop_column("follow_up", "settled_call_on")
    op.drop_column("follow_up", "day_known")
