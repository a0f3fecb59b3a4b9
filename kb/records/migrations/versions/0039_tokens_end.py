"""A token has a name, what it may do, a last day and the day it was last used. Those made before go on: with
all that their person may do, for a year from this upgrade.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import sqlalchemy as sa
from alembic import op
from sqlmodel.sql.sqltypes import AutoString

revision = "0039"
down_revision = "0041"
branch_labels = None
depends_on = None

_NEW = ("last_used_on", "ends_at", "scope", "name")


def upgrade() -> None:
    for name, said in (("name", "made before"), ("scope", "role")):
        op.add_column("api_token", sa.Column(name, AutoString(), nullable=False, server_default=said))
    op.add_column("api_token", sa.Column("ends_at", sa.DateTime(timezone=True), nullable=True))
    op.add_column("api_token", sa.Column("last_used_on", sa.Date(), nullable=True))
    tokens = sa.table("api_token", sa.column("ends_at", sa.DateTime(timezone=True)))
    op.execute(tokens.update().values(ends_at=datetime.now(UTC) + timedelta(days=365)))


def downgrade() -> None:
    for name in _NEW:
        op.drop_column("api_token", name)
