"""Plans on offer: what manufacturers sell, whether the shop ever bought it or not."""

from __future__ import annotations

from alembic import op

from kb.records.migrations.new_tables import days, new_table, numbers, of_shop, texts

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    new_table(
        "plan_offer",
        of_shop(),
        texts("make", "plan"),
        numbers("days", "price_minor"),
        days("looked_up_on"),
        texts("by"),
        days("retired_on", maybe=True),
    )


def downgrade() -> None:
    op.drop_table("plan_offer")
