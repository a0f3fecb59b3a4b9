"""How often a PIN was wrong since it was right last, or opened by the password."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0045"
down_revision = "0044"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("shop_user", sa.Column("pin_wrong", sa.Integer(), nullable=False, server_default="0"))


def downgrade() -> None:
    op.drop_column("shop_user", "pin_wrong")
