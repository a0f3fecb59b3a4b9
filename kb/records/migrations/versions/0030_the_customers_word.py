"""What the customer was asked and answered: agreed or declined, to what, and which number was called."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlmodel.sql.sqltypes import AutoString

revision = "0030"
down_revision = "0029"
branch_labels = None
depends_on = None

_TABLE = "customer_authorization"


def upgrade() -> None:
    op.add_column(_TABLE, sa.Column("declined", sa.Boolean(), nullable=False, server_default=sa.false()))
    for name in ("proposed", "number_called"):
        op.add_column(_TABLE, sa.Column(name, AutoString(), nullable=False, server_default=""))


def downgrade() -> None:
    for name in ("number_called", "proposed", "declined"):
        op.drop_column(_TABLE, name)
