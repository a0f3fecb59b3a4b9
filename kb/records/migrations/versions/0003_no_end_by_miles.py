"""No column for an end by miles: that follows from the odometers whenever it is asked."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    op.drop_column("outcome", "miles_ended")


def downgrade() -> None:
    op.add_column(
        "outcome", sa.Column("miles_ended", sa.Boolean(), nullable=False, server_default=sa.false())
    )
