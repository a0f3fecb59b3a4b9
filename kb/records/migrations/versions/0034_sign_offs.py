"""Who is signed off for which work on which make, and when somebody's own access to manufacturers ends."""

from __future__ import annotations

from alembic import op

from kb.records.migrations.new_tables import days, flags, new_table, of_shop, refers, texts

revision = "0034"
down_revision = "0032"
branch_labels = None
depends_on = None


def upgrade() -> None:
    new_table(
        "sign_off",
        of_shop(),
        refers("user_id", "shop_user"),
        texts("make", "kind"),
        days("signed_on"),
        days("trained_on", maybe=True),
        texts("trained_what"),
        days("valid_to", maybe=True),
        flags("newcomer"),
        texts("note", "by"),
        days("ended_on", maybe=True),
    )
    new_table(
        "own_access",
        of_shop(),
        refers("user_id", "shop_user"),
        texts("kind", "make"),
        days("ends_on", maybe=True),
        texts("note", "by"),
        days("gone_on", maybe=True),
    )


def downgrade() -> None:
    op.drop_table("own_access")
    op.drop_table("sign_off")
