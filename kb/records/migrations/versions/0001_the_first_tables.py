"""The first tables"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


_REFUSE_SQLITE = """
CREATE TRIGGER trail_keeps_{verb} BEFORE {verb} ON trail
BEGIN SELECT RAISE(ABORT, 'the trail is only ever appended to'); END
"""

_REFUSE_POSTGRESQL = (
    """
CREATE FUNCTION trail_keeps() RETURNS trigger AS $$
BEGIN RAISE EXCEPTION 'the trail is only ever appended to'; END $$ LANGUAGE plpgsql
""",
    "CREATE TRIGGER trail_keeps BEFORE UPDATE OR DELETE ON trail FOR EACH ROW EXECUTE FUNCTION trail_keeps()",
)


def upgrade() -> None:
    _create_tables()
    if op.get_bind().dialect.name == "postgresql":
        for statement in _REFUSE_POSTGRESQL:
            op.execute(statement)
    else:
        for verb in ("UPDATE", "DELETE"):
            op.execute(_REFUSE_SQLITE.format(verb=verb))


def _create_tables() -> None:
    op.create_table(
        "shop",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("timezone", sa.String(), nullable=False),
        sa.Column("currency", sa.String(), nullable=False),
        sa.Column("is_demo", sa.Boolean(), nullable=False),
        sa.Column("set_up_code_hash", sa.String(), nullable=True),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "diagnostic_check",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("shop_id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("question", sa.String(), nullable=False),
        sa.Column("yes_word", sa.String(), nullable=False),
        sa.Column("no_word", sa.String(), nullable=False),
        sa.Column("system", sa.String(), nullable=False),
        sa.Column("minutes", sa.Float(), nullable=False),
        sa.Column("wait_minutes", sa.Float(), nullable=False),
        sa.Column("needs", sa.String(), nullable=False),
        sa.Column("told_with", sa.String(), nullable=False),
        sa.Column("caution", sa.String(), nullable=False),
        sa.Column("cost_minor", sa.Integer(), nullable=False),
        sa.Column("saved_minor", sa.Integer(), nullable=False),
        sa.Column("yes_in_10_cured", sa.Float(), nullable=False),
        sa.Column("yes_in_10_not", sa.Float(), nullable=False),
        sa.Column("weight", sa.Float(), nullable=False),
        sa.Column("source_line", sa.String(), nullable=False),
        sa.Column("author", sa.String(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("retired_on", sa.Date(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["shop_id"],
            ["shop.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("shop_id", "key"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("diagnostic_check", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_diagnostic_check_shop_id"), ["shop_id"], unique=False)

    op.create_table(
        "equipment",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("shop_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("details", sa.String(), nullable=False),
        sa.Column("validated", sa.JSON(), nullable=False),
        sa.Column("retired_on", sa.Date(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["shop_id"],
            ["shop.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("equipment", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_equipment_shop_id"), ["shop_id"], unique=False)

    op.create_table(
        "import_job",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("shop_id", sa.Integer(), nullable=False),
        sa.Column("format", sa.String(), nullable=False),
        sa.Column("file_name", sa.String(), nullable=False),
        sa.Column("file_hash", sa.String(), nullable=False),
        sa.Column("dry_run", sa.Boolean(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("done", sa.Integer(), nullable=False),
        sa.Column("total", sa.Integer(), nullable=False),
        sa.Column("created", sa.Integer(), nullable=False),
        sa.Column("changed", sa.Integer(), nullable=False),
        sa.Column("unchanged", sa.Integer(), nullable=False),
        sa.Column("summary", sa.JSON(), nullable=False),
        sa.Column("row_errors", sa.JSON(), nullable=False),
        sa.Column("author", sa.String(), nullable=False),
        sa.Column("started_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["shop_id"],
            ["shop.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("import_job", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_import_job_shop_id"), ["shop_id"], unique=False)

    op.create_table(
        "lexicon_entry",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("shop_id", sa.Integer(), nullable=False),
        sa.Column("concept", sa.String(), nullable=False),
        sa.Column("phrase", sa.String(), nullable=False),
        sa.Column("removes", sa.Boolean(), nullable=False),
        sa.Column("author", sa.String(), nullable=False),
        sa.Column("added_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("undone_by", sa.String(), nullable=False),
        sa.Column("undone_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["shop_id"],
            ["shop.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("lexicon_entry", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_lexicon_entry_shop_id"), ["shop_id"], unique=False)

    op.create_table(
        "make_requirement",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("shop_id", sa.Integer(), nullable=False),
        sa.Column("make", sa.String(), nullable=False),
        sa.Column("module", sa.String(), nullable=False),
        sa.Column("place", sa.String(), nullable=False),
        sa.Column("text", sa.String(), nullable=False),
        sa.Column("unit", sa.String(), nullable=False),
        sa.Column("source_line", sa.String(), nullable=False),
        sa.Column("retired_on", sa.Date(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["shop_id"],
            ["shop.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("make_requirement", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_make_requirement_shop_id"), ["shop_id"], unique=False)

    op.create_table(
        "revision",
        sa.Column("shop_id", sa.Integer(), nullable=False),
        sa.Column("topic", sa.String(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["shop_id"],
            ["shop.id"],
        ),
        sa.PrimaryKeyConstraint("shop_id", "topic"),
    )
    op.create_table(
        "shop_setting",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("shop_id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("value", sa.String(), nullable=False),
        sa.Column("source_line", sa.String(), nullable=False),
        sa.Column("author", sa.String(), nullable=False),
        sa.Column("set_on", sa.Date(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["shop_id"],
            ["shop.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("shop_id", "key"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("shop_setting", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_shop_setting_shop_id"), ["shop_id"], unique=False)

    op.create_table(
        "shop_user",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("shop_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("display_name", sa.String(), nullable=False),
        sa.Column("role", sa.String(), nullable=False),
        sa.Column("password_hash", sa.String(), nullable=True),
        sa.Column("disabled_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["shop_id"],
            ["shop.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("shop_id", "name"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("shop_user", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_shop_user_shop_id"), ["shop_id"], unique=False)

    op.create_table(
        "subscription",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("shop_id", sa.Integer(), nullable=False),
        sa.Column("make", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("plan", sa.String(), nullable=False),
        sa.Column("price_minor", sa.Integer(), nullable=False),
        sa.Column("bought_on", sa.Date(), nullable=False),
        sa.Column("ends_on", sa.Date(), nullable=False),
        sa.Column("remark", sa.String(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["shop_id"],
            ["shop.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("subscription", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_subscription_shop_id"), ["shop_id"], unique=False)

    op.create_table(
        "api_token",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("shop_id", sa.Integer(), nullable=False),
        sa.Column("user_id", sa.Integer(), nullable=False),
        sa.Column("token_hash", sa.String(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("revoked_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["shop_id"],
            ["shop.id"],
        ),
        sa.ForeignKeyConstraint(
            ["user_id"],
            ["shop_user.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("token_hash"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("api_token", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_api_token_shop_id"), ["shop_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_api_token_user_id"), ["user_id"], unique=False)

    op.create_table(
        "imported_row",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("shop_id", sa.Integer(), nullable=False),
        sa.Column("import_id", sa.Integer(), nullable=False),
        sa.Column("noun", sa.String(), nullable=False),
        sa.Column("noun_id", sa.Integer(), nullable=False),
        sa.Column("identity_hash", sa.String(), nullable=False),
        sa.Column("action", sa.String(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("content", sa.JSON(), nullable=True),
        sa.ForeignKeyConstraint(
            ["import_id"],
            ["import_job.id"],
        ),
        sa.ForeignKeyConstraint(
            ["shop_id"],
            ["shop.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("imported_row", schema=None) as batch_op:
        batch_op.create_index("imported_by_identity", ["shop_id", "noun", "identity_hash"], unique=False)
        batch_op.create_index(batch_op.f("ix_imported_row_import_id"), ["import_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_imported_row_shop_id"), ["shop_id"], unique=False)

    op.create_table(
        "note",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("shop_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("number", sa.String(), nullable=False),
        sa.Column("title", sa.String(), nullable=False),
        sa.Column("symptom", sa.String(), nullable=False),
        sa.Column("body", sa.String(), nullable=False),
        sa.Column("conditions", sa.String(), nullable=False),
        sa.Column("precautions", sa.JSON(), nullable=False),
        sa.Column("relearns", sa.JSON(), nullable=False),
        sa.Column("exact_entries", sa.JSON(), nullable=False),
        sa.Column("system", sa.String(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("published_on", sa.Date(), nullable=True),
        sa.Column("source", sa.String(), nullable=False),
        sa.Column("identity", sa.String(), nullable=False),
        sa.Column("merged_into_id", sa.Integer(), nullable=True),
        sa.Column("import_id", sa.Integer(), nullable=True),
        sa.Column("author", sa.String(), nullable=False),
        sa.Column("changed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("changed_revision", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["import_id"],
            ["import_job.id"],
        ),
        sa.ForeignKeyConstraint(
            ["merged_into_id"],
            ["note.id"],
        ),
        sa.ForeignKeyConstraint(
            ["shop_id"],
            ["shop.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("note", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_note_import_id"), ["import_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_note_number"), ["number"], unique=False)
        batch_op.create_index(batch_op.f("ix_note_shop_id"), ["shop_id"], unique=False)
        batch_op.create_index("note_by_change", ["shop_id", "changed_revision"], unique=False)
        batch_op.create_index("note_by_identity", ["shop_id", "identity"], unique=False)

    op.create_table(
        "sign_in",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("shop_id", sa.Integer(), nullable=False),
        sa.Column("user_id", sa.Integer(), nullable=False),
        sa.Column("cookie_hash", sa.String(), nullable=False),
        sa.Column("form_token", sa.String(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ends_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["shop_id"],
            ["shop.id"],
        ),
        sa.ForeignKeyConstraint(
            ["user_id"],
            ["shop_user.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("cookie_hash"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("sign_in", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_sign_in_shop_id"), ["shop_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_sign_in_user_id"), ["user_id"], unique=False)

    op.create_table(
        "trail",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("shop_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("user_id", sa.Integer(), nullable=True),
        sa.Column("who", sa.String(), nullable=False),
        sa.Column("action", sa.String(), nullable=False),
        sa.Column("noun", sa.String(), nullable=False),
        sa.Column("noun_id", sa.Integer(), nullable=True),
        sa.Column("detail", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(
            ["shop_id"],
            ["shop.id"],
        ),
        sa.ForeignKeyConstraint(
            ["user_id"],
            ["shop_user.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("trail", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_trail_at"), ["at"], unique=False)
        batch_op.create_index(batch_op.f("ix_trail_shop_id"), ["shop_id"], unique=False)

    op.create_table(
        "vehicle",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("shop_id", sa.Integer(), nullable=False),
        sa.Column("vin", sa.String(), nullable=False),
        sa.Column("make", sa.String(), nullable=False),
        sa.Column("model", sa.String(), nullable=False),
        sa.Column("year", sa.Integer(), nullable=True),
        sa.Column("engine", sa.String(), nullable=False),
        sa.Column("built_on", sa.Date(), nullable=True),
        sa.Column("import_id", sa.Integer(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["import_id"],
            ["import_job.id"],
        ),
        sa.ForeignKeyConstraint(
            ["shop_id"],
            ["shop.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("vehicle", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_vehicle_import_id"), ["import_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_vehicle_shop_id"), ["shop_id"], unique=False)
        batch_op.create_index("vehicle_by_vin", ["shop_id", "vin"], unique=False)

    op.create_table(
        "check_attachment",
        sa.Column("check_id", sa.Integer(), nullable=False),
        sa.Column("note_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["check_id"],
            ["diagnostic_check.id"],
        ),
        sa.ForeignKeyConstraint(
            ["note_id"],
            ["note.id"],
        ),
        sa.PrimaryKeyConstraint("check_id", "note_id"),
    )
    op.create_table(
        "note_code",
        sa.Column("note_id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["note_id"],
            ["note.id"],
        ),
        sa.PrimaryKeyConstraint("note_id", "code"),
    )
    op.create_table(
        "note_coverage",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("note_id", sa.Integer(), nullable=False),
        sa.Column("make", sa.String(), nullable=False),
        sa.Column("model", sa.String(), nullable=False),
        sa.Column("years", sa.JSON(), nullable=False),
        sa.Column("engine", sa.String(), nullable=False),
        sa.Column("built_from", sa.Date(), nullable=True),
        sa.Column("built_to", sa.Date(), nullable=True),
        sa.Column("vin_prefix", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["note_id"],
            ["note.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("note_coverage", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_note_coverage_note_id"), ["note_id"], unique=False)

    op.create_table(
        "note_document",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("note_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("text", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["note_id"],
            ["note.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("note_document", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_note_document_note_id"), ["note_id"], unique=False)

    op.create_table(
        "note_revision",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("note_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("content", sa.JSON(), nullable=False),
        sa.Column("author", sa.String(), nullable=False),
        sa.Column("saved_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("why", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["note_id"],
            ["note.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("note_revision", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_note_revision_note_id"), ["note_id"], unique=False)

    op.create_table(
        "note_step",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("note_id", sa.Integer(), nullable=False),
        sa.Column("module", sa.String(), nullable=False),
        sa.Column("old_ids", sa.JSON(), nullable=False),
        sa.Column("new_id", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["note_id"],
            ["note.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("note_step", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_note_step_note_id"), ["note_id"], unique=False)

    op.create_table(
        "programming_event",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("shop_id", sa.Integer(), nullable=False),
        sa.Column("vehicle_id", sa.Integer(), nullable=False),
        sa.Column("technician", sa.String(), nullable=False),
        sa.Column("performed_on", sa.Date(), nullable=False),
        sa.Column("minutes", sa.Integer(), nullable=True),
        sa.Column("device_id", sa.Integer(), nullable=True),
        sa.Column("computer_id", sa.Integer(), nullable=True),
        sa.Column("support_unit_id", sa.Integer(), nullable=True),
        sa.Column("subscription_id", sa.Integer(), nullable=True),
        sa.Column("who_was_called", sa.String(), nullable=False),
        sa.Column("remark", sa.String(), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("import_id", sa.Integer(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["computer_id"],
            ["equipment.id"],
        ),
        sa.ForeignKeyConstraint(
            ["device_id"],
            ["equipment.id"],
        ),
        sa.ForeignKeyConstraint(
            ["import_id"],
            ["import_job.id"],
        ),
        sa.ForeignKeyConstraint(
            ["shop_id"],
            ["shop.id"],
        ),
        sa.ForeignKeyConstraint(
            ["subscription_id"],
            ["subscription.id"],
        ),
        sa.ForeignKeyConstraint(
            ["support_unit_id"],
            ["equipment.id"],
        ),
        sa.ForeignKeyConstraint(
            ["vehicle_id"],
            ["vehicle.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("programming_event", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_programming_event_import_id"), ["import_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_programming_event_shop_id"), ["shop_id"], unique=False)
        batch_op.create_index(
            batch_op.f("ix_programming_event_subscription_id"), ["subscription_id"], unique=False
        )
        batch_op.create_index(batch_op.f("ix_programming_event_vehicle_id"), ["vehicle_id"], unique=False)

    op.create_table(
        "repair_order",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("shop_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.String(), nullable=False),
        sa.Column("vehicle_id", sa.Integer(), nullable=False),
        sa.Column("opened_on", sa.Date(), nullable=False),
        sa.Column("odometer", sa.Integer(), nullable=True),
        sa.Column("phone", sa.String(), nullable=False),
        sa.Column("import_id", sa.Integer(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["import_id"],
            ["import_job.id"],
        ),
        sa.ForeignKeyConstraint(
            ["shop_id"],
            ["shop.id"],
        ),
        sa.ForeignKeyConstraint(
            ["vehicle_id"],
            ["vehicle.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("repair_order", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_repair_order_import_id"), ["import_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_repair_order_shop_id"), ["shop_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_repair_order_vehicle_id"), ["vehicle_id"], unique=False)
        batch_op.create_index("repair_order_by_number", ["shop_id", "number"], unique=False)

    op.create_table(
        "watch_acknowledged",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("shop_id", sa.Integer(), nullable=False),
        sa.Column("update_id", sa.Integer(), nullable=False),
        sa.Column("on", sa.Date(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("remark", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["shop_id"],
            ["shop.id"],
        ),
        sa.ForeignKeyConstraint(
            ["update_id"],
            ["note.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("watch_acknowledged", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_watch_acknowledged_shop_id"), ["shop_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_watch_acknowledged_update_id"), ["update_id"], unique=False)

    op.create_table(
        "concern",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("shop_id", sa.Integer(), nullable=False),
        sa.Column("repair_order_id", sa.Integer(), nullable=False),
        sa.Column("line", sa.String(), nullable=False),
        sa.Column("complaint", sa.String(), nullable=False),
        sa.Column("technician_words", sa.String(), nullable=False),
        sa.Column("conditions", sa.JSON(), nullable=False),
        sa.Column("frequency", sa.String(), nullable=False),
        sa.Column("usual_gap_days", sa.Integer(), nullable=True),
        sa.Column("started", sa.String(), nullable=False),
        sa.Column("just_before", sa.String(), nullable=False),
        sa.Column("codes_scanned", sa.String(), nullable=False),
        sa.Column("cost_overrides", sa.JSON(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("opened_on", sa.Date(), nullable=False),
        sa.Column("opened_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("opened_by", sa.String(), nullable=False),
        sa.Column("ending", sa.String(), nullable=False),
        sa.Column("cured_by_note_id", sa.Integer(), nullable=True),
        sa.Column("explained_by_note_id", sa.Integer(), nullable=True),
        sa.Column("other_cause", sa.String(), nullable=False),
        sa.Column("closed_on", sa.Date(), nullable=True),
        sa.Column("closed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("import_id", sa.Integer(), nullable=True),
        sa.Column("changed_revision", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["cured_by_note_id"],
            ["note.id"],
        ),
        sa.ForeignKeyConstraint(
            ["explained_by_note_id"],
            ["note.id"],
        ),
        sa.ForeignKeyConstraint(
            ["import_id"],
            ["import_job.id"],
        ),
        sa.ForeignKeyConstraint(
            ["repair_order_id"],
            ["repair_order.id"],
        ),
        sa.ForeignKeyConstraint(
            ["shop_id"],
            ["shop.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("concern", schema=None) as batch_op:
        batch_op.create_index("concern_by_change", ["shop_id", "changed_revision"], unique=False)
        batch_op.create_index("concern_by_state", ["shop_id", "state", "opened_on"], unique=False)
        batch_op.create_index(batch_op.f("ix_concern_import_id"), ["import_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_concern_repair_order_id"), ["repair_order_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_concern_shop_id"), ["shop_id"], unique=False)

    op.create_table(
        "customer_authorization",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("repair_order_id", sa.Integer(), nullable=False),
        sa.Column("amount_minor", sa.Integer(), nullable=False),
        sa.Column("who", sa.String(), nullable=False),
        sa.Column("how", sa.String(), nullable=False),
        sa.Column("if_not_cured", sa.String(), nullable=False),
        sa.Column("told_may_not_cure", sa.Boolean(), nullable=False),
        sa.Column("told_module_can_fail", sa.Boolean(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["repair_order_id"],
            ["repair_order.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("customer_authorization", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_customer_authorization_repair_order_id"), ["repair_order_id"], unique=False
        )

    op.create_table(
        "other_work",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("event_id", sa.Integer(), nullable=False),
        sa.Column("what", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["event_id"],
            ["programming_event.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("other_work", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_other_work_event_id"), ["event_id"], unique=False)

    op.create_table(
        "payment",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("repair_order_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("amount_minor", sa.Integer(), nullable=False),
        sa.Column("who_paid", sa.String(), nullable=False),
        sa.Column("remark", sa.String(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["repair_order_id"],
            ["repair_order.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("payment", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_payment_repair_order_id"), ["repair_order_id"], unique=False)

    op.create_table(
        "reflash",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("event_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("module", sa.String(), nullable=False),
        sa.Column("update_id", sa.Integer(), nullable=True),
        sa.Column("result", sa.String(), nullable=False),
        sa.Column("calibration_before", sa.String(), nullable=False),
        sa.Column("calibration_after", sa.String(), nullable=False),
        sa.Column("cvn_after", sa.String(), nullable=False),
        sa.Column("error_text", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["event_id"],
            ["programming_event.id"],
        ),
        sa.ForeignKeyConstraint(
            ["update_id"],
            ["note.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("reflash", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_reflash_event_id"), ["event_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_reflash_update_id"), ["update_id"], unique=False)

    op.create_table(
        "calibration_look_up",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("concern_id", sa.Integer(), nullable=False),
        sa.Column("vehicle_id", sa.Integer(), nullable=False),
        sa.Column("module", sa.String(), nullable=False),
        sa.Column("looked_up_on", sa.Date(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("newest_id", sa.String(), nullable=False),
        sa.Column("nothing_newer", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(
            ["concern_id"],
            ["concern.id"],
        ),
        sa.ForeignKeyConstraint(
            ["vehicle_id"],
            ["vehicle.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("calibration_look_up", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_calibration_look_up_concern_id"), ["concern_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_calibration_look_up_vehicle_id"), ["vehicle_id"], unique=False)

    op.create_table(
        "calibration_reading",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("concern_id", sa.Integer(), nullable=False),
        sa.Column("module", sa.String(), nullable=False),
        sa.Column("calibration_id", sa.String(), nullable=False),
        sa.Column("source", sa.String(), nullable=False),
        sa.Column("confirmed", sa.Boolean(), nullable=False),
        sa.Column("cvn", sa.String(), nullable=False),
        sa.Column("hardware_number", sa.String(), nullable=False),
        sa.Column("software_number", sa.String(), nullable=False),
        sa.Column("read_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("read_by", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["concern_id"],
            ["concern.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("calibration_reading", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_calibration_reading_concern_id"), ["concern_id"], unique=False)

    op.create_table(
        "concern_candidate",
        sa.Column("concern_id", sa.Integer(), nullable=False),
        sa.Column("note_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("grade", sa.String(), nullable=False),
        sa.Column("all_codes_named", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(
            ["concern_id"],
            ["concern.id"],
        ),
        sa.ForeignKeyConstraint(
            ["note_id"],
            ["note.id"],
        ),
        sa.PrimaryKeyConstraint("concern_id", "note_id"),
    )
    op.create_table(
        "concern_code",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("concern_id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("module", sa.String(), nullable=False),
        sa.Column("status", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["concern_id"],
            ["concern.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("concern_code", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_concern_code_concern_id"), ["concern_id"], unique=False)

    op.create_table(
        "decision",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("concern_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("verdict", sa.String(), nullable=False),
        sa.Column("did", sa.String(), nullable=False),
        sa.Column("followed", sa.Boolean(), nullable=False),
        sa.Column("why_not", sa.String(), nullable=False),
        sa.Column("advice", sa.JSON(), nullable=False),
        sa.Column("inputs", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(
            ["concern_id"],
            ["concern.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("decision", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_decision_concern_id"), ["concern_id"], unique=False)

    op.create_table(
        "finding",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("concern_id", sa.Integer(), nullable=False),
        sa.Column("check_id", sa.Integer(), nullable=False),
        sa.Column("result", sa.String(), nullable=False),
        sa.Column("value", sa.String(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["check_id"],
            ["diagnostic_check.id"],
        ),
        sa.ForeignKeyConstraint(
            ["concern_id"],
            ["concern.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("concern_id", "check_id"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("finding", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_finding_check_id"), ["check_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_finding_concern_id"), ["concern_id"], unique=False)

    op.create_table(
        "follow_up",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("concern_id", sa.Integer(), nullable=False),
        sa.Column("result", sa.String(), nullable=False),
        sa.Column("seen_on", sa.Date(), nullable=False),
        sa.Column("odometer", sa.Integer(), nullable=True),
        sa.Column("how", sa.String(), nullable=False),
        sa.Column("remark", sa.String(), nullable=False),
        sa.Column("cost_minor", sa.Integer(), nullable=True),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("import_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(
            ["concern_id"],
            ["concern.id"],
        ),
        sa.ForeignKeyConstraint(
            ["import_id"],
            ["import_job.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("follow_up", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_follow_up_concern_id"), ["concern_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_follow_up_import_id"), ["import_id"], unique=False)

    op.create_table(
        "gate",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("concern_id", sa.Integer(), nullable=False),
        sa.Column("gate", sa.String(), nullable=False),
        sa.Column("result", sa.String(), nullable=False),
        sa.Column("value", sa.String(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("on", sa.Date(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["concern_id"],
            ["concern.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("concern_id", "gate"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("gate", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_gate_concern_id"), ["concern_id"], unique=False)

    op.create_table(
        "outcome",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("shop_id", sa.Integer(), nullable=False),
        sa.Column("reflash_id", sa.Integer(), nullable=False),
        sa.Column("concern_id", sa.Integer(), nullable=False),
        sa.Column("update_id", sa.Integer(), nullable=True),
        sa.Column("reflashed_on", sa.Date(), nullable=False),
        sa.Column("odometer", sa.Integer(), nullable=True),
        sa.Column("duplicated_before", sa.String(), nullable=False),
        sa.Column("road_test", sa.String(), nullable=False),
        sa.Column("other_work", sa.Boolean(), nullable=False),
        sa.Column("installed", sa.Boolean(), nullable=False),
        sa.Column("came_back_on", sa.Date(), nullable=True),
        sa.Column("other_cause_on", sa.Date(), nullable=True),
        sa.Column("last_seen_on", sa.Date(), nullable=True),
        sa.Column("count_ends_on", sa.Date(), nullable=True),
        sa.Column("miles_ended", sa.Boolean(), nullable=False),
        sa.Column("cost_minor", sa.Integer(), nullable=False),
        sa.Column("counted_as", sa.Integer(), nullable=False),
        sa.Column("reflashed_day", sa.Integer(), nullable=False),
        sa.Column("reflashed_month", sa.Integer(), nullable=False),
        sa.Column("event_kind", sa.Integer(), nullable=False),
        sa.Column("event_day", sa.Integer(), nullable=False),
        sa.Column("heard_day", sa.Integer(), nullable=False),
        sa.Column("comeback_cost_minor", sa.Integer(), nullable=False),
        sa.Column("ask_on", sa.Date(), nullable=True),
        sa.Column("import_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(
            ["concern_id"],
            ["concern.id"],
        ),
        sa.ForeignKeyConstraint(
            ["import_id"],
            ["import_job.id"],
        ),
        sa.ForeignKeyConstraint(
            ["reflash_id"],
            ["reflash.id"],
        ),
        sa.ForeignKeyConstraint(
            ["shop_id"],
            ["shop.id"],
        ),
        sa.ForeignKeyConstraint(
            ["update_id"],
            ["note.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("outcome", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_outcome_concern_id"), ["concern_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_outcome_import_id"), ["import_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_outcome_reflash_id"), ["reflash_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_outcome_shop_id"), ["shop_id"], unique=False)
        batch_op.create_index(
            "outcome_counts",
            [
                "shop_id",
                "counted_as",
                "update_id",
                "other_work",
                "event_kind",
                "event_day",
                "reflashed_month",
                "reflashed_day",
                "heard_day",
                "comeback_cost_minor",
            ],
            unique=False,
        )
        batch_op.create_index("outcome_for_reports", ["shop_id", "update_id", "reflashed_on"], unique=False)

    op.create_table(
        "prep_tick",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("concern_id", sa.Integer(), nullable=False),
        sa.Column("item", sa.String(), nullable=False),
        sa.Column("measured", sa.String(), nullable=False),
        sa.Column("passed_over", sa.String(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["concern_id"],
            ["concern.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("concern_id", "item"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("prep_tick", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_prep_tick_concern_id"), ["concern_id"], unique=False)

    op.create_table(
        "search_log",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("shop_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("mark", sa.String(), nullable=False),
        sa.Column("text", sa.String(), nullable=False),
        sa.Column("found", sa.Integer(), nullable=False),
        sa.Column("best", sa.String(), nullable=False),
        sa.Column("concern_id", sa.Integer(), nullable=True),
        sa.Column("opened_kind", sa.String(), nullable=False),
        sa.Column("opened_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(
            ["concern_id"],
            ["concern.id"],
        ),
        sa.ForeignKeyConstraint(
            ["shop_id"],
            ["shop.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("shop_id", "mark"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("search_log", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_search_log_at"), ["at"], unique=False)
        batch_op.create_index(batch_op.f("ix_search_log_concern_id"), ["concern_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_search_log_opened_id"), ["opened_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_search_log_shop_id"), ["shop_id"], unique=False)

    op.create_table(
        "stop_lift",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("concern_id", sa.Integer(), nullable=False),
        sa.Column("stop", sa.String(), nullable=False),
        sa.Column("reason", sa.String(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["concern_id"],
            ["concern.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("stop_lift", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_stop_lift_concern_id"), ["concern_id"], unique=False)


def downgrade() -> None:
    raise NotImplementedError("the first tables are not taken down; restore a backup instead")
