"""How many calls an address without sign-in has left, of all workers and hosts together."""

from __future__ import annotations

from alembic import op

from kb.records.migrations.new_tables import decimals, indexed, moments, new_table, of_shop, texts

revision = "0041"
down_revision = "0037"
branch_labels = None
depends_on = None


def upgrade() -> None:
    new_table(
        "anonymous_calls",
        of_shop(),
        texts("address"),
        decimals("calls_left"),
        indexed(moments("counted_at")),
        unique=("shop_id", "address"),
    )


def downgrade() -> None:
    op.drop_table("anonymous_calls")
