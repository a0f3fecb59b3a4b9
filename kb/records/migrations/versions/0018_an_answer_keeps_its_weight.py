"""How many a new update cures, where a shop had set it, keeps the weight of then: 4 vehicles, now 8."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0018"
down_revision = "0015"

_WHY = "as before: the weight of a guess"


def upgrade() -> None:
    op.execute(
        sa.text(
            "INSERT INTO shop_setting (shop_id, key, value, source_line, author, set_on, version) "
            "SELECT shop_id, 'prior_weight', '4.0', :why, author, set_on, 1 FROM shop_setting AS answer "
            "WHERE key = 'prior_cured_in_10' AND NOT EXISTS (SELECT 1 FROM shop_setting AS weight "
            "WHERE weight.shop_id = answer.shop_id AND weight.key = 'prior_weight')"
        ).bindparams(why=_WHY)
    )


def downgrade() -> None:
    op.execute(
        sa.text("DELETE FROM shop_setting WHERE key = 'prior_weight' AND source_line = :why").bindparams(
            why=_WHY
        )
    )
    op.execute("DELETE FROM shop_setting WHERE value = 'null'")
