"""Which ways were ever used is asked with each review, and few sittings were elsewhere."""

from __future__ import annotations

from alembic import op

revision = "0033"
down_revision = "0036"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_index("programming_event_by_way", "programming_event", ["shop_id", "way"])


def downgrade() -> None:
    op.drop_index("programming_event_by_way", "programming_event")
