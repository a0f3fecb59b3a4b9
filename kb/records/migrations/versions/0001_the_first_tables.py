"""The first tables"""

from __future__ import annotations

from alembic import op

from kb.records.migrations.new_tables import (
    days,
    decimals,
    flags,
    indexed,
    moments,
    new_table,
    numbers,
    of_shop,
    refers,
    texts,
    trees,
)

revision = "0001"
down_revision = None


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
    new_table(
        "shop",
        texts("name", "timezone", "currency"),
        flags("is_demo"),
        texts("set_up_code_hash", maybe=True),
        moments("created_at"),
    )
    new_table(
        "diagnostic_check",
        of_shop(),
        texts("key", "name", "question", "yes_word", "no_word", "system"),
        decimals("minutes", "wait_minutes"),
        texts("needs", "told_with", "caution"),
        numbers("cost_minor", "saved_minor"),
        decimals("yes_in_10_cured", "yes_in_10_not", "weight"),
        texts("source_line", "author"),
        numbers("position"),
        days("retired_on", maybe=True),
        numbers("version"),
        unique=("shop_id", "key"),
    )
    new_table(
        "equipment",
        of_shop(),
        texts("kind", "name", "details"),
        trees("validated"),
        days("retired_on", maybe=True),
        numbers("version"),
    )
    new_table(
        "import_job",
        of_shop(),
        texts("format", "file_name", "file_hash"),
        flags("dry_run"),
        texts("state"),
        numbers("done", "total", "created", "changed", "unchanged"),
        trees("summary", "row_errors"),
        texts("author"),
        moments("started_at"),
        moments("ended_at", maybe=True),
    )
    new_table(
        "lexicon_entry",
        of_shop(),
        texts("concept", "phrase"),
        flags("removes"),
        texts("author"),
        moments("added_at"),
        texts("undone_by"),
        moments("undone_at", maybe=True),
    )
    new_table(
        "make_requirement",
        of_shop(),
        texts("make", "module", "place", "text", "unit", "source_line"),
        days("retired_on", maybe=True),
        numbers("version"),
    )
    new_table(
        "revision",
        refers("shop_id", "shop", indexed=False),
        texts("topic"),
        numbers("number"),
        key=("shop_id", "topic"),
    )
    new_table(
        "shop_setting",
        of_shop(),
        texts("key", "value", "source_line", "author"),
        days("set_on"),
        numbers("version"),
        unique=("shop_id", "key"),
    )
    new_table(
        "shop_user",
        of_shop(),
        texts("name", "display_name", "role"),
        texts("password_hash", maybe=True),
        moments("disabled_at", maybe=True),
        numbers("version"),
        unique=("shop_id", "name"),
    )
    new_table(
        "subscription",
        of_shop(),
        texts("make", "kind", "plan"),
        numbers("price_minor"),
        days("bought_on", "ends_on"),
        texts("remark"),
        numbers("version"),
    )
    new_table(
        "api_token",
        of_shop(),
        refers("user_id", "shop_user"),
        texts("token_hash"),
        moments("created_at"),
        moments("revoked_at", maybe=True),
        unique=("token_hash",),
    )
    new_table(
        "imported_row",
        of_shop(),
        refers("import_id", "import_job"),
        texts("noun"),
        numbers("noun_id"),
        texts("identity_hash", "action"),
        numbers("version"),
        trees("content", maybe=True),
        indexes={"imported_by_identity": ("shop_id", "noun", "identity_hash")},
    )
    new_table(
        "note",
        of_shop(),
        texts("kind"),
        indexed(texts("number")),
        texts("title", "symptom", "body", "conditions"),
        trees("precautions", "relearns", "exact_entries"),
        texts("system", "state"),
        days("published_on", maybe=True),
        texts("source", "identity"),
        refers("merged_into_id", "note", maybe=True, indexed=False),
        refers("import_id", "import_job", maybe=True),
        texts("author"),
        moments("changed_at"),
        numbers("changed_revision", "version"),
        indexes={
            "note_by_change": ("shop_id", "changed_revision"),
            "note_by_identity": ("shop_id", "identity"),
        },
    )
    new_table(
        "sign_in",
        of_shop(),
        refers("user_id", "shop_user"),
        texts("cookie_hash", "form_token"),
        moments("created_at", "ends_at"),
        unique=("cookie_hash",),
    )
    new_table(
        "trail",
        of_shop(),
        indexed(moments("at")),
        refers("user_id", "shop_user", maybe=True, indexed=False),
        texts("who", "action", "noun"),
        numbers("noun_id", maybe=True),
        trees("detail"),
    )
    new_table(
        "vehicle",
        of_shop(),
        texts("vin", "make", "model"),
        numbers("year", maybe=True),
        texts("engine"),
        days("built_on", maybe=True),
        refers("import_id", "import_job", maybe=True),
        numbers("version"),
        indexes={"vehicle_by_vin": ("shop_id", "vin")},
    )
    new_table(
        "check_attachment",
        refers("check_id", "diagnostic_check", indexed=False),
        refers("note_id", "note", indexed=False),
        key=("check_id", "note_id"),
    )
    new_table("note_code", refers("note_id", "note", indexed=False), texts("code"), key=("note_id", "code"))
    new_table(
        "note_coverage",
        refers("note_id", "note"),
        texts("make", "model"),
        trees("years"),
        texts("engine"),
        days("built_from", "built_to", maybe=True),
        texts("vin_prefix"),
    )
    new_table("note_document", refers("note_id", "note"), texts("name", "text"))
    new_table(
        "note_revision",
        refers("note_id", "note"),
        numbers("version"),
        trees("content"),
        texts("author"),
        moments("saved_at"),
        texts("why"),
    )
    new_table("note_step", refers("note_id", "note"), texts("module"), trees("old_ids"), texts("new_id"))
    new_table(
        "programming_event",
        of_shop(),
        refers("vehicle_id", "vehicle"),
        texts("technician"),
        days("performed_on"),
        numbers("minutes", maybe=True),
        refers("device_id", "equipment", maybe=True, indexed=False),
        refers("computer_id", "equipment", maybe=True, indexed=False),
        refers("support_unit_id", "equipment", maybe=True, indexed=False),
        refers("subscription_id", "subscription", maybe=True),
        texts("who_was_called", "remark"),
        moments("recorded_at"),
        refers("import_id", "import_job", maybe=True),
        numbers("version"),
    )
    new_table(
        "repair_order",
        of_shop(),
        texts("number"),
        refers("vehicle_id", "vehicle"),
        days("opened_on"),
        numbers("odometer", maybe=True),
        texts("phone"),
        refers("import_id", "import_job", maybe=True),
        numbers("version"),
        indexes={"repair_order_by_number": ("shop_id", "number")},
    )
    new_table("watch_acknowledged", of_shop(), refers("update_id", "note"), days("on"), texts("by", "remark"))
    new_table(
        "concern",
        of_shop(),
        refers("repair_order_id", "repair_order"),
        texts("line", "complaint", "technician_words"),
        trees("conditions"),
        texts("frequency"),
        numbers("usual_gap_days", maybe=True),
        texts("started", "just_before", "codes_scanned"),
        trees("cost_overrides"),
        texts("state"),
        days("opened_on"),
        moments("opened_at"),
        texts("opened_by", "ending"),
        refers("cured_by_note_id", "note", maybe=True, indexed=False),
        refers("explained_by_note_id", "note", maybe=True, indexed=False),
        texts("other_cause"),
        days("closed_on", maybe=True),
        moments("closed_at", maybe=True),
        refers("import_id", "import_job", maybe=True),
        numbers("changed_revision", "version"),
        indexes={
            "concern_by_change": ("shop_id", "changed_revision"),
            "concern_by_state": ("shop_id", "state", "opened_on"),
        },
    )
    new_table(
        "customer_authorization",
        refers("repair_order_id", "repair_order"),
        numbers("amount_minor"),
        texts("who", "how", "if_not_cured"),
        flags("told_may_not_cure", "told_module_can_fail"),
        texts("by"),
        moments("at"),
    )
    new_table("other_work", refers("event_id", "programming_event"), texts("what"))
    new_table(
        "payment",
        refers("repair_order_id", "repair_order"),
        texts("kind"),
        numbers("amount_minor"),
        texts("who_paid", "remark", "by"),
        moments("at"),
    )
    new_table(
        "reflash",
        refers("event_id", "programming_event"),
        numbers("position"),
        texts("module"),
        refers("update_id", "note", maybe=True),
        texts("result", "calibration_before", "calibration_after", "cvn_after", "error_text"),
    )
    new_table(
        "calibration_look_up",
        refers("concern_id", "concern"),
        refers("vehicle_id", "vehicle"),
        texts("module"),
        days("looked_up_on"),
        texts("by", "newest_id"),
        flags("nothing_newer"),
    )
    new_table(
        "calibration_reading",
        refers("concern_id", "concern"),
        texts("module", "calibration_id", "source"),
        flags("confirmed"),
        texts("cvn", "hardware_number", "software_number"),
        moments("read_at"),
        texts("read_by"),
    )
    new_table(
        "concern_candidate",
        refers("concern_id", "concern", indexed=False),
        refers("note_id", "note", indexed=False),
        numbers("position"),
        texts("grade"),
        flags("all_codes_named"),
        key=("concern_id", "note_id"),
    )
    new_table("concern_code", refers("concern_id", "concern"), texts("code", "module", "status"))
    new_table(
        "decision",
        refers("concern_id", "concern"),
        moments("at"),
        texts("by", "verdict", "did"),
        flags("followed"),
        texts("why_not"),
        trees("advice", "inputs"),
    )
    new_table(
        "finding",
        refers("concern_id", "concern"),
        refers("check_id", "diagnostic_check"),
        texts("result", "value", "by"),
        moments("at"),
        unique=("concern_id", "check_id"),
    )
    new_table(
        "follow_up",
        refers("concern_id", "concern"),
        texts("result"),
        days("seen_on"),
        numbers("odometer", maybe=True),
        texts("how", "remark"),
        numbers("cost_minor", maybe=True),
        texts("by"),
        moments("recorded_at"),
        refers("import_id", "import_job", maybe=True),
    )
    new_table(
        "gate",
        refers("concern_id", "concern"),
        texts("gate", "result", "value", "by"),
        days("on"),
        moments("at"),
        unique=("concern_id", "gate"),
    )
    new_table(
        "outcome",
        of_shop(),
        refers("reflash_id", "reflash"),
        refers("concern_id", "concern"),
        refers("update_id", "note", maybe=True, indexed=False),
        days("reflashed_on"),
        numbers("odometer", maybe=True),
        texts("duplicated_before", "road_test"),
        flags("other_work", "installed"),
        days("came_back_on", "other_cause_on", "last_seen_on", "count_ends_on", maybe=True),
        flags("miles_ended"),
        numbers(
            "cost_minor",
            "counted_as",
            "reflashed_day",
            "reflashed_month",
            "event_kind",
            "event_day",
            "heard_day",
            "comeback_cost_minor",
        ),
        days("ask_on", maybe=True),
        refers("import_id", "import_job", maybe=True),
        indexes={
            "outcome_counts": (
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
            ),
            "outcome_for_reports": ("shop_id", "update_id", "reflashed_on"),
        },
    )
    new_table(
        "prep_tick",
        refers("concern_id", "concern"),
        texts("item", "measured", "passed_over", "by"),
        moments("at"),
        unique=("concern_id", "item"),
    )
    new_table(
        "search_log",
        of_shop(),
        indexed(moments("at")),
        texts("mark", "text"),
        numbers("found"),
        texts("best"),
        refers("concern_id", "concern", maybe=True),
        texts("opened_kind"),
        indexed(numbers("opened_id", maybe=True)),
        unique=("shop_id", "mark"),
    )
    new_table("stop_lift", refers("concern_id", "concern"), texts("stop", "reason", "by"), moments("at"))


def downgrade() -> None:
    raise NotImplementedError("the first tables are not taken down; restore a backup instead")
