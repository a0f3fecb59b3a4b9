"""A session says on which device it is open, how somebody came in and when it was last used; devices that
several people share, a PIN to change between them, and where each of them was.

Sessions that are open go on: they count as used at this upgrade.
"""

from __future__ import annotations

from datetime import UTC, datetime

import sqlalchemy as sa
from alembic import op
from sqlmodel.sql.sqltypes import AutoString

from kb.records.migrations.new_tables import moments, new_table, of_shop, refers, texts

revision = "0040"
down_revision = "0039"
branch_labels = None
depends_on = None

_OF_SESSIONS = ("handed_over_at_concern", "shared_device_id", "last_seen_at", "door", "device")


def upgrade() -> None:
    new_table(
        "shared_device",
        of_shop(),
        texts("name", "key_hash", "marked_by"),
        moments("marked_at"),
        moments("ended_at", "programming_until", maybe=True),
        unique=("key_hash",),
    )
    new_table(
        "shared_place",
        of_shop(),
        refers("device_id", "shared_device"),
        refers("user_id", "shop_user"),
        texts("path", "title"),
        moments("at"),
        unique=("device_id", "user_id"),
    )
    for name, said in (("device", ""), ("door", "password")):
        op.add_column("sign_in", sa.Column(name, AutoString(), nullable=False, server_default=said))
    op.add_column("sign_in", sa.Column("last_seen_at", sa.DateTime(timezone=True), nullable=True))
    for name in ("shared_device_id", "handed_over_at_concern"):
        op.add_column("sign_in", sa.Column(name, sa.Integer(), nullable=True))
    sessions = sa.table("sign_in", sa.column("last_seen_at", sa.DateTime(timezone=True)))
    op.execute(sessions.update().values(last_seen_at=datetime.now(UTC)))
    op.add_column("shop_user", sa.Column("pin_hash", AutoString(), nullable=True))


def downgrade() -> None:
    op.drop_column("shop_user", "pin_hash")
    for name in _OF_SESSIONS:
        op.drop_column("sign_in", name)
    op.drop_table("shared_place")
    op.drop_table("shared_device")
