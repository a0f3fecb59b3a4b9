"""What columns were read as is kept by their names, rows left out are kept as they stood, files until taken.

What was chosen before stands in the jobs: the newest choice for each set of names is kept on.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from kb.records.migrations.new_tables import moments, new_table, numbers, of_shop, refers, texts, trees

revision = "0023"
down_revision = "0024"
branch_labels = None
depends_on = None


def upgrade() -> None:
    new_table(
        "kept_columns",
        of_shop(),
        texts("format", "names"),
        trees("columns"),
        texts("days", "author"),
        moments("kept_at"),
    )
    new_table(
        "left_out_row", refers("import_id", "import_job"), numbers("line"), texts("reason"), trees("cells")
    )
    column = sa.Column("import_id", sa.Integer(), sa.ForeignKey("import_job.id"), nullable=True)
    op.add_column("waiting_file", column, inline_references=True)
    op.create_index("ix_waiting_file_import_id", "waiting_file", ["import_id"])
    _keep_what_was_chosen()


def downgrade() -> None:
    """SQLite takes no column with a reference out: its table is made anew."""
    op.drop_index("ix_waiting_file_import_id", "waiting_file")
    with op.batch_alter_table("waiting_file", table_kwargs={"sqlite_autoincrement": True}) as table:
        table.drop_column("import_id")
    op.drop_table("left_out_row")
    op.drop_table("kept_columns")


def _keep_what_was_chosen() -> None:
    metadata = sa.MetaData()
    metadata.reflect(op.get_bind(), only=("import_job", "kept_columns"))
    jobs, kept = metadata.tables["import_job"], metadata.tables["kept_columns"]
    rows: dict[tuple[int, str, str], dict[str, object]] = {}
    for job in op.get_bind().execute(jobs.select().order_by(jobs.c.id)):
        columns = (job.summary or {}).get("columns") or {}
        names = "\x1f".join(sorted({"".join(name.split()).casefold() for name in columns} - {""}))
        if names:
            rows[job.shop_id, job.format, names] = {
                "shop_id": job.shop_id,
                "format": job.format,
                "names": names,
                "columns": columns,
                "days": job.summary.get("days", ""),
                "author": job.author,
                "kept_at": job.started_at,
            }
    if rows:
        op.get_bind().execute(kept.insert(), list(rows.values()))
