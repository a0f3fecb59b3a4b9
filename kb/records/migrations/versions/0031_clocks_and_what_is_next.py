"""Clocks that run on a concern, and what is next on it and who does it."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlmodel.sql.sqltypes import AutoString

from kb.records.migrations.new_tables import moments, new_table, numbers, of_shop, refers, texts

revision = "0031"
down_revision = "0027"
branch_labels = None
depends_on = None

_TEXTS = ("next_what", "next_who", "next_by")


def upgrade() -> None:
    new_table(
        "clock",
        of_shop(),
        refers("concern_id", "concern"),
        texts("kind", "remark"),
        moments("started_at"),
        texts("started_by"),
        moments("ends_at", maybe=True),
        numbers("ends_at_odometer", "miles", maybe=True),
        texts("ends_with"),
        moments("ended_at", maybe=True),
        texts("ended_by"),
        indexes={"clock_running": ("shop_id", "ended_at")},
    )
    for name in _TEXTS:
        op.add_column("concern", sa.Column(name, AutoString(), nullable=False, server_default=""))
    op.add_column("concern", sa.Column("next_since", sa.DateTime(timezone=True), nullable=True))


def downgrade() -> None:
    for name in (*_TEXTS, "next_since"):
        op.drop_column("concern", name)
    op.drop_table("clock")
