"""A check may have a unit and limits, a finding the number that was measured; checks on file have none."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0022"
down_revision = "0021"


def upgrade() -> None:
    none = sa.text("'{}'")
    op.add_column("diagnostic_check", sa.Column("measure", sa.JSON(), nullable=False, server_default=none))
    op.add_column("finding", sa.Column("number", sa.Float(), nullable=True))
    op.add_column("finding", sa.Column("unit", sa.String(), nullable=False, server_default=""))


def downgrade() -> None:
    op.drop_column("finding", "unit")
    op.drop_column("finding", "number")
    op.drop_column("diagnostic_check", "measure")
