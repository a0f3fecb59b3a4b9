"""Whether a follow-up was told unasked or found on asking; of those on file so far nobody said."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlmodel.sql.sqltypes import AutoString

revision = "0015"
down_revision = "0012"


def upgrade() -> None:
    op.add_column("follow_up", sa.Column("heard", AutoString(), nullable=False, server_default=""))
    op.create_index("follow_up_heard", "follow_up", ["heard", "result"])


def downgrade() -> None:
    op.drop_index("follow_up_heard", "follow_up")
    op.drop_column("follow_up", "heard")
