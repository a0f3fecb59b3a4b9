"""Changes of many notes at once, so that they can be undone."""

from __future__ import annotations

from alembic import op

from kb.records.migrations.new_tables import moments, new_table, numbers, of_shop, refers, texts, trees

revision = "0024"
down_revision = "0025"
branch_labels = None
depends_on = None


def upgrade() -> None:
    new_table(
        "note_bulk",
        of_shop(),
        trees("asked"),
        texts("state"),
        numbers("total", "done", "changed", "so_already", "put_back"),
        trees("left_notes"),
        texts("author"),
        moments("started_at", "moved_at"),
        indexes={"note_bulk_by_start": ("shop_id", "started_at")},
    )
    new_table(
        "note_bulk_item",
        refers("bulk_id", "note_bulk", indexed=False),
        refers("note_id", "note", indexed=False),
        numbers("version"),
        key=("bulk_id", "note_id"),
    )


def downgrade() -> None:
    op.drop_table("note_bulk_item")
    op.drop_table("note_bulk")
