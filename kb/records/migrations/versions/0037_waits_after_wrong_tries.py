"""How long a name, a device or an address waits after wrong tries to sign in, and the shop's own key, with
which it knows its devices again. Nobody waits at first, and the key is made when somebody signs in.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from kb.records.migrations.new_tables import indexed, moments, new_table, numbers, of_shop, texts

revision = "0037"
down_revision = "0033"
branch_labels = None
depends_on = None


def upgrade() -> None:
    new_table(
        "wrong_tries",
        of_shop(),
        texts("whose"),
        numbers("in_a_row"),
        indexed(moments("last_at")),
        unique=("shop_id", "whose"),
    )
    op.add_column("shop", sa.Column("device_key", sa.String(), nullable=True))


def downgrade() -> None:
    op.drop_column("shop", "device_key")
    op.drop_table("wrong_tries")
