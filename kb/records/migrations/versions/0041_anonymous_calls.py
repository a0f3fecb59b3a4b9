"""How many calls an address without sign-in has left, of all workers and hosts together. And an index for
each column that points at a note: else whoever takes notes away has a whole table looked through for each.
"""

from __future__ import annotations

from alembic import op

from kb.records.migrations.new_tables import decimals, indexed, moments, new_table, of_shop, texts

revision = "0041"
down_revision = "0037"
branch_labels = None
depends_on = None

_POINT_AT_A_NOTE = (
    ("note", "merged_into_id"),
    ("check_attachment", "note_id"),
    ("concern", "cured_by_note_id"),
    ("concern", "explained_by_note_id"),
    ("concern_candidate", "note_id"),
    ("outcome", "update_id"),
    ("note_bulk_item", "note_id"),
    ("sent_out", "update_id"),
)


def upgrade() -> None:
    new_table(
        "anonymous_calls",
        of_shop(),
        texts("address"),
        decimals("calls_left"),
        indexed(moments("counted_at")),
        unique=("shop_id", "address"),
    )
    for table, column in _POINT_AT_A_NOTE:
        op.create_index(f"ix_{table}_{column}", table, [column])


def downgrade() -> None:
    for table, column in _POINT_AT_A_NOTE:
        op.drop_index(f"ix_{table}_{column}", table)
    op.drop_table("anonymous_calls")
