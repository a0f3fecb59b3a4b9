"""What was sent in and taken is known in the database: two worker processes take it once too."""

from __future__ import annotations

from alembic import op

from kb.records.migrations.new_tables import indexed, moments, new_table, numbers, of_shop, texts

revision = "0026"
down_revision = "0030"
branch_labels = None
depends_on = None


def upgrade() -> None:
    new_table(
        "sent_once",
        of_shop(),
        texts("key_hash", "content_hash"),
        numbers("status"),
        texts("answer"),
        indexed(moments("at")),
        unique=("key_hash",),
    )


def downgrade() -> None:
    op.drop_table("sent_once")
