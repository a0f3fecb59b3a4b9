"""Reflashes read from the correction texts of a history, to be looked at before they count."""

from __future__ import annotations

from alembic import op

from kb.records.migrations.new_tables import days, indexed, moments, new_table, of_shop, refers, texts, trees

revision = "0025"
down_revision = "0022"
branch_labels = None
depends_on = None


def upgrade() -> None:
    new_table(
        "reflash_read",
        of_shop(),
        refers("import_id", "import_job"),
        refers("history_row_id", "imported_row"),
        refers("concern_id", "concern"),
        indexed(texts("identity_hash")),
        texts("alike", "wording", "text"),
        trees("marks"),
        texts("update", "module", "calibration_before", "calibration_after", "road_test"),
        trees("other_work"),
        days("done_on", maybe=True),
        texts("state"),
        refers("taken_row_id", "imported_row", maybe=True),
        texts("decided_by"),
        moments("decided_at", maybe=True),
        indexes={"reflash_read_alike": ("import_id", "alike")},
    )


def downgrade() -> None:
    op.drop_table("reflash_read")
