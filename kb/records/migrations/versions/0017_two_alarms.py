"""An answer says which of an update's two alarms it is to; those given so far are to the one there was."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0017"
down_revision = "0016"


def upgrade() -> None:
    op.add_column(
        "watch_acknowledged", sa.Column("which", sa.String(), server_default="shop", nullable=False)
    )


def downgrade() -> None:
    op.drop_column("watch_acknowledged", "which")
