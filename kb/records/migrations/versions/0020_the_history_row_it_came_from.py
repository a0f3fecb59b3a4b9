"""Outcomes, follow-ups and other work carry the history row that told them first.

On file they are found as they were written: rows and outcomes of one concern, import and day in one order;
a follow-up by its day, where several rows tell of its concern.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0020"
down_revision = "0019"
branch_labels = None
depends_on = None

_TABLES = ("outcome", "follow_up", "other_work")
_LEAVES = {
    name: sa.table(name, *(sa.column(one, sa.Integer) for one in columns), *(sa.column(one) for one in days))
    for name, columns, days in (
        (
            "outcome",
            ("id", "concern_id", "reflash_id", "import_id", "history_row_id"),
            ("reflashed_on",),
        ),
        (
            "follow_up",
            ("id", "concern_id", "import_id", "at_visit", "history_row_id"),
            ("seen_on", "result", "remark"),
        ),
        ("other_work", ("id", "event_id", "history_row_id"), ("what",)),
    )
}
_rows = sa.table(
    "imported_row",
    *(sa.column(name, sa.Integer) for name in ("id", "import_id", "noun_id")),
    *(sa.column(name, sa.String) for name in ("noun", "identity_hash")),
    sa.column("content", sa.JSON),
)
_reflash = sa.table("reflash", sa.column("id", sa.Integer), sa.column("event_id", sa.Integer))
_DAYS = ("returned_on", "last_seen_on", "reflashed_on")


def upgrade() -> None:
    for name in _TABLES:
        column = sa.Column("history_row_id", sa.Integer(), sa.ForeignKey("imported_row.id"), nullable=True)
        op.add_column(name, column, inline_references=True)
        op.create_index(f"ix_{name}_history_row_id", name, ["history_row_id"])
    op.create_index("imported_of_noun", "imported_row", ["noun", "noun_id"])
    told = _rows_told()
    if told:
        _save("outcome", _of_outcomes(told))
        _save("follow_up", _of_follow_ups(told))
        _save("other_work", _of_other_work())


def downgrade() -> None:
    """SQLite takes no column with a reference out: its table is made anew."""
    op.drop_index("imported_of_noun", "imported_row")
    for name in _TABLES:
        op.drop_index(f"ix_{name}_history_row_id", name)
        with op.batch_alter_table(name, table_kwargs={"sqlite_autoincrement": True}) as table:
            table.drop_column("history_row_id")


Told = dict[int, list[tuple[int, int, list[dict[str, Any]]]]]
"""By concern (first id, first import, everything it ever said, the last first) of each history row."""


def _rows_told() -> Told:
    known: dict[tuple[int, str], tuple[int, int, list[dict[str, Any]]]] = {}
    query = sa.select(_rows).where(_rows.c.noun == "history row").order_by(_rows.c.id)
    for row in op.get_bind().execute(query):
        _, _, said = known.setdefault((row.noun_id, row.identity_hash), (row.id, row.import_id, []))
        said.insert(0, row.content or {})
    told: Told = defaultdict(list)
    for (concern_id, _), first in known.items():
        told[concern_id].append(first)
    return told


def _of_outcomes(told: Told) -> Iterator[tuple[int, int]]:
    """(outcome, history row)."""
    left = {
        (concern_id, import_id, day): [
            row_id
            for row_id, of_import, said in rows
            if of_import == import_id and said[-1].get("reflashed_on") == day
        ][::-1]
        for concern_id, rows in told.items()
        for import_id, day in {(of_import, said[-1].get("reflashed_on")) for _, of_import, said in rows}
    }
    for one in _of_imports("outcome"):
        rows = left.get((one.concern_id, one.import_id, str(one.reflashed_on)))
        if rows:
            yield one.id, rows.pop()


def _of_follow_ups(told: Told) -> Iterator[tuple[int, int]]:
    """(follow-up, history row): of two that heard the same, each has its own."""
    taken: set[tuple[Any, ...]] = set()
    for one in _of_imports("follow_up"):
        rows = told.get(one.concern_id, ())
        if one.at_visit is not None or not rows:
            continue
        what = (str(one.seen_on), one.result, one.remark)
        fits = [
            row_id
            for row_id, _, said in rows
            if what[0] in {said[0].get(day) for day in _DAYS} and (row_id, what) not in taken
        ]
        row_id = fits[0] if fits else rows[0][0]
        taken.add((row_id, what))
        yield one.id, row_id


def _of_other_work() -> Iterator[tuple[int, int]]:
    """(other work, history row): the first row of its event that says so."""
    work, outcome = _LEAVES["other_work"].c, _LEAVES["outcome"].c
    query = (
        sa.select(work.id, work.what, _rows.c.id.label("row_id"), _rows.c.content)
        .select_from(_LEAVES["other_work"])
        .join(_reflash, _reflash.c.event_id == work.event_id)
        .join(_LEAVES["outcome"], outcome.reflash_id == _reflash.c.id)
        .join(_rows, _rows.c.id == outcome.history_row_id)
        .order_by(work.id, _rows.c.id)
    )
    found: dict[int, int] = {}
    for one in op.get_bind().execute(query):
        if one.what in (one.content or {}).get("other_work", ()):
            found.setdefault(one.id, one.row_id)
    yield from found.items()


def _of_imports(name: str) -> Iterable[Any]:
    table = _LEAVES[name]
    return op.get_bind().execute(sa.select(table).where(table.c.import_id.is_not(None)).order_by(table.c.id))


def _save(name: str, found: Iterable[tuple[int, int]]) -> None:
    table, rows = _LEAVES[name], [{"leaf": leaf, "row": row_id} for leaf, row_id in found]
    if rows:
        change = table.update().where(table.c.id == sa.bindparam("leaf"))
        op.get_bind().execute(change.values(history_row_id=sa.bindparam("row")), rows)
