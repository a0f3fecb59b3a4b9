"""Plans on offer: what manufacturers sell, whether the shop ever bought it or not."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "plan_offer",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("shop_id", sa.Integer(), nullable=False),
        sa.Column("make", sa.String(), nullable=False),
        sa.Column("plan", sa.String(), nullable=False),
        sa.Column("days", sa.Integer(), nullable=False),
        sa.Column("price_minor", sa.Integer(), nullable=False),
        sa.Column("looked_up_on", sa.Date(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("retired_on", sa.Date(), nullable=True),
        sa.ForeignKeyConstraint(["shop_id"], ["shop.id"]),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_plan_offer_shop_id", "plan_offer", ["shop_id"], unique=False)


def downgrade() -> None:
    op.drop_table("plan_offer")
