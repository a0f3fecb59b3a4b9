"""Which host makes the copies of a shop on PostgreSQL, and how the last one went."""

from __future__ import annotations

from alembic import op

from kb.records.migrations.new_tables import days, flags, moments, new_table, of_shop, texts

revision = "0044"
down_revision = "0043"
branch_labels = None
depends_on = None


def upgrade() -> None:
    new_table(
        "backup_turn",
        of_shop(),
        texts("host"),
        moments("taken_at"),
        flags("ended"),
        texts("failure"),
        days("night", maybe=True),
        moments("made_at", maybe=True),
        texts("made_on", "made_as"),
        unique=("shop_id",),
    )


def downgrade() -> None:
    op.drop_table("backup_turn")
