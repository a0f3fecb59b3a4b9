"""Files that wait: looked at with their columns before they are brought in."""

from __future__ import annotations

from alembic import op

from kb.records.migrations.new_tables import files, moments, new_table, of_shop, texts

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    new_table(
        "waiting_file",
        of_shop(),
        texts("format", "file_name"),
        files("data"),
        texts("author"),
        moments("kept_at"),
    )


def downgrade() -> None:
    op.drop_table("waiting_file")
