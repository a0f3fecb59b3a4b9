"""What a piece of equipment cost and how long it serves, which versions ran on it since when, and which of
them was in use at a programming event. Of those on file nobody knows.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlmodel.sql.sqltypes import AutoString

from kb.records.migrations.new_tables import days, new_table, of_shop, refers, texts

revision = "0036"
down_revision = "0034"
branch_labels = None
depends_on = None

_IN_USE = ("device_version", "computer_version", "support_unit_version")


def upgrade() -> None:
    new_table(
        "equipment_version",
        of_shop(),
        refers("equipment_id", "equipment"),
        texts("firmware", "driver"),
        days("since"),
        texts("by"),
    )
    for name in ("price_minor", "years"):
        op.add_column("equipment", sa.Column(name, sa.Integer(), nullable=True))
    for name in _IN_USE:
        op.add_column("programming_event", sa.Column(name, AutoString(), nullable=False, server_default=""))


def downgrade() -> None:
    for name in _IN_USE:
        op.drop_column("programming_event", name)
    for name in ("price_minor", "years"):
        op.drop_column("equipment", name)
    op.drop_table("equipment_version")
