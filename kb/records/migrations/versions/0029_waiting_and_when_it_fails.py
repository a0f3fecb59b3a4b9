"""What an open concern waits for; whose it is follows from the trail, which is found by what it is about; and
what a shop has at hand by make for when programming fails.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlmodel.sql.sqltypes import AutoString

from kb.records.migrations.new_tables import days, new_table, numbers, of_shop, texts

revision = "0029"
down_revision = "0023"
branch_labels = None
depends_on = None

_TEXTS = ("waiting_for", "waiting_remark", "waiting_by")


def upgrade() -> None:
    for name in _TEXTS:
        op.add_column("concern", sa.Column(name, AutoString(), nullable=False, server_default=""))
    op.add_column("concern", sa.Column("waiting_since", sa.DateTime(timezone=True), nullable=True))
    op.create_index("trail_by_noun", "trail", ["noun", "noun_id"])
    new_table(
        "failure_sheet",
        of_shop(),
        texts("make", "make_folded", "support_line", "support_hours", "latest_start"),
        numbers("module_price_minor", "module_days", maybe=True),
        texts("tow", "customer_sentence", "by"),
        days("looked_up_on"),
        numbers("version"),
        unique=("shop_id", "make_folded"),
    )


def downgrade() -> None:
    op.drop_table("failure_sheet")
    op.drop_index("trail_by_noun", "trail")
    for name in (*_TEXTS, "waiting_since"):
        op.drop_column("concern", name)
