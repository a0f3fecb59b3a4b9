"""What an open concern waits for; whose it is follows from the trail, which is found by what it is about."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlmodel.sql.sqltypes import AutoString

revision = "0029"
down_revision = "0023"
branch_labels = None
depends_on = None

_TEXTS = ("waiting_for", "waiting_remark", "waiting_by")


def upgrade() -> None:
    for name in _TEXTS:
        op.add_column("concern", sa.Column(name, AutoString(), nullable=False, server_default=""))
    op.add_column("concern", sa.Column("waiting_since", sa.DateTime(timezone=True), nullable=True))
    op.create_index("trail_by_noun", "trail", ["noun", "noun_id"])


def downgrade() -> None:
    op.drop_index("trail_by_noun", "trail")
    for name in (*_TEXTS, "waiting_since"):
        op.drop_column("concern", name)
