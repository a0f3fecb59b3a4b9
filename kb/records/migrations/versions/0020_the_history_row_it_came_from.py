"""Outcomes, follow-ups and other work carry the history row that told them first.

On file they are found as they were written: rows and outcomes of one concern, import and day in one order;
a follow-up by its day, where several rows tell of its concern.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, NamedTuple

import sqlalchemy as sa
from alembic import op

revision = "0020"
down_revision = "0019"
branch_labels = None
depends_on = None

_LEAVES = ("outcome", "follow_up", "other_work")
_DAYS = ("returned_on", "last_seen_on", "reflashed_on")
Tables = Mapping[str, sa.Table]


class Row(NamedTuple):
    """A history row by its first id and import, with what it said first and says now."""

    id: int
    import_id: int
    first: dict[str, Any]
    now: dict[str, Any]


def upgrade() -> None:
    for name in _LEAVES:
        column = sa.Column("history_row_id", sa.Integer(), sa.ForeignKey("imported_row.id"), nullable=True)
        op.add_column(name, column, inline_references=True)
        op.create_index(f"ix_{name}_history_row_id", name, ["history_row_id"])
    op.create_index("imported_of_noun", "imported_row", ["noun", "noun_id"])
    metadata = sa.MetaData()
    metadata.reflect(op.get_bind(), only=(*_LEAVES, "imported_row", "reflash"))
    tables = metadata.tables
    told = _rows_told(tables["imported_row"])
    _save(tables["outcome"], _of_outcomes(tables["outcome"], told))
    _save(tables["follow_up"], _of_follow_ups(tables["follow_up"], told))
    _save(tables["other_work"], _of_other_work(tables))


def downgrade() -> None:
    """SQLite takes no column with a reference out: its table is made anew."""
    op.drop_index("imported_of_noun", "imported_row")
    for name in _LEAVES:
        op.drop_index(f"ix_{name}_history_row_id", name)
        with op.batch_alter_table(name, table_kwargs={"sqlite_autoincrement": True}) as table:
            table.drop_column("history_row_id")


def _rows_told(rows: sa.Table) -> dict[int, list[Row]]:
    """By concern, in the order in which they were first taken."""
    known: dict[tuple[int, str], Row] = {}
    for one in op.get_bind().execute(rows.select().where(rows.c.noun == "history row").order_by(rows.c.id)):
        said, key = one.content or {}, (one.noun_id, one.identity_hash)
        known[key] = known.get(key, Row(one.id, one.import_id, said, said))._replace(now=said)
    told: dict[int, list[Row]] = defaultdict(list)
    for (concern_id, _), row in known.items():
        told[concern_id].append(row)
    return told


def _of_outcomes(outcomes: sa.Table, told: Mapping[int, list[Row]]) -> Iterator[tuple[int, int]]:
    """(outcome, history row)."""
    taken: set[int] = set()
    for one in _of_imports(outcomes):
        of_day = (
            row.id
            for row in told.get(one.concern_id, ())
            if (row.import_id, row.first.get("reflashed_on")) == (one.import_id, str(one.reflashed_on))
        )
        row_id = next((each for each in of_day if each not in taken), None)
        if row_id is not None:
            taken.add(row_id)
            yield one.id, row_id


def _of_follow_ups(follow_ups: sa.Table, told: Mapping[int, list[Row]]) -> Iterator[tuple[int, int]]:
    """(follow-up, history row): of two that heard the same, each has its own."""
    taken: set[tuple[Any, ...]] = set()
    for one in _of_imports(follow_ups):
        rows = told.get(one.concern_id, ())
        if one.at_visit is not None or not rows:
            continue
        what = (one.seen_on, one.result, one.remark)
        heard = [row.id for row in rows if str(one.seen_on) in {row.now.get(day) for day in _DAYS}]
        row_id = next((each for each in heard if (each, what) not in taken), rows[0].id)
        taken.add((row_id, what))
        yield one.id, row_id


def _of_other_work(tables: Tables) -> Iterator[tuple[int, int]]:
    """(other work, history row): the first row of its event that says so."""
    work, outcome, reflash, rows = (
        tables[name] for name in ("other_work", "outcome", "reflash", "imported_row")
    )
    query = (
        sa.select(work.c.id, work.c.what, rows.c.id.label("row_id"), rows.c.content)
        .join(reflash, reflash.c.event_id == work.c.event_id)
        .join(outcome, outcome.c.reflash_id == reflash.c.id)
        .join(rows, rows.c.id == outcome.c.history_row_id)
    )
    found: dict[int, int] = {}
    for one in op.get_bind().execute(query.order_by(work.c.id, rows.c.id)):
        if one.what in (one.content or {}).get("other_work", ()):
            found.setdefault(one.id, one.row_id)
    yield from found.items()


def _of_imports(table: sa.Table) -> Iterable[Any]:
    return op.get_bind().execute(table.select().where(table.c.import_id.is_not(None)).order_by(table.c.id))


def _save(table: sa.Table, found: Iterable[tuple[int, int]]) -> None:
    rows = [{"leaf": leaf, "row": row_id} for leaf, row_id in found]
    if rows:
        change = table.update().where(table.c.id == sa.bindparam("leaf"))
        op.get_bind().execute(change.values(history_row_id=sa.bindparam("row")), rows)
