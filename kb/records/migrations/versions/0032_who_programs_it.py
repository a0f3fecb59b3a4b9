"""Who programs a module: the way of each programming event, what others ask for it, what was sent out."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlmodel.sql.sqltypes import AutoString

from kb.records.migrations.new_tables import days, moments, new_table, numbers, of_shop, refers, texts

revision = "0032"
down_revision = "0028"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("programming_event", sa.Column("way", AutoString(), nullable=False, server_default="here"))
    new_table(
        "way_price",
        of_shop(),
        texts("make", "make_folded", "module", "module_folded", "way"),
        numbers("price_minor", "days"),
        days("asked_on"),
        texts("asked_of", "remark", "by"),
        days("retired_on", maybe=True),
        numbers("version"),
    )
    new_table(
        "sent_out",
        of_shop(),
        refers("concern_id", "concern"),
        texts("way", "module"),
        refers("update_id", "note", maybe=True, indexed=False),
        texts("sent_to"),
        numbers("told_price_minor", maybe=True),
        days("sent_on", "due_on"),
        texts("by"),
        moments("at"),
        texts("result"),
        days("back_on", maybe=True),
        texts("what_was_done", "invoice_number"),
        refers("event_id", "programming_event", maybe=True),
        refers("payment_id", "payment", maybe=True, indexed=False),
        texts("told_by"),
        moments("told_at", maybe=True),
        numbers("version"),
        indexes={"sent_out_waiting": ("shop_id", "result", "due_on")},
    )


def downgrade() -> None:
    op.drop_table("sent_out")
    op.drop_table("way_price")
    op.drop_column("programming_event", "way")
