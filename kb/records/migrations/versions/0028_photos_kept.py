"""Photos kept with a concern and its programming."""

from __future__ import annotations

from alembic import op

from kb.records.migrations.new_tables import (
    files,
    flags,
    indexed,
    moments,
    new_table,
    numbers,
    of_shop,
    refers,
    texts,
)

revision = "0028"
down_revision = "0031"
branch_labels = None
depends_on = None


def upgrade() -> None:
    new_table(
        "photo",
        of_shop(),
        refers("concern_id", "concern", maybe=True),
        refers("event_id", "programming_event", maybe=True),
        texts("shows", "caption"),
        flags("on_print"),
        numbers("width", "height"),
        texts("sha256"),
        indexed(texts("sent_sha256")),
        files("content", "small"),
        texts("kept_by"),
        moments("kept_at"),
        unique=("concern_id", "sent_sha256"),
    )


def downgrade() -> None:
    op.drop_table("photo")
