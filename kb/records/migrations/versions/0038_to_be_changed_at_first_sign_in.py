"""Whether a person has to change the password that the owner gave them. Nobody has to who has one already."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0038"
down_revision = "0040"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column(
        "shop_user", sa.Column("password_is_given", sa.Boolean(), nullable=False, server_default=sa.false())
    )


def downgrade() -> None:
    op.drop_column("shop_user", "password_is_given")
