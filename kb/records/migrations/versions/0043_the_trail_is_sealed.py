"""Lines of the trail are sealed, each over the one before; those on file too, in the order of their ids.

The database goes on refusing to change or delete a line, but for taking its words away.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import Any

import sqlalchemy as sa
from alembic import op
from sqlmodel.sql.sqltypes import AutoString

from kb.records.migrations.new_tables import moments, new_table, numbers, of_shop, texts
from kb.records.tables.columns import UtcInstant
from kb.records.trail_seals import NOTHING_BEFORE, sealed

revision = "0043"
down_revision = "0038"
branch_labels = None
depends_on = None

_LINES_AT_ONCE = 5000
_KEPT = ("id", "shop_id", "at", "user_id", "who", "action", "noun", "noun_id", "detail_digest", "seal")
_ONLY_WORDS_GO = " AND ".join(["NEW.salt IS NULL", *(f"NEW.{name} {{same}} OLD.{name}" for name in _KEPT)])
_REFUSED = "the trail is only ever appended to"
_trail = sa.table(
    "trail",
    *(sa.column(name) for name in ("id", "shop_id", "user_id", "who", "action", "noun", "noun_id")),
    *(sa.column(name) for name in ("salt", "detail_digest", "seal")),
    sa.column("at", UtcInstant()),
    sa.column("detail", sa.JSON()),
)


def upgrade() -> None:
    _let_lines_change()
    op.add_column("trail", sa.Column("salt", AutoString(), nullable=True))
    for name in ("detail_digest", "seal"):
        op.add_column("trail", sa.Column(name, AutoString(), nullable=False, server_default=""))
    new_table(
        "trail_head",
        of_shop(),
        numbers("rows"),
        texts("seal"),
        moments("checked_at", maybe=True),
        texts("checked_by", "checked_says"),
    )
    _seal_what_is_there()
    _refuse_changes(_ONLY_WORDS_GO)


def downgrade() -> None:
    _let_lines_change()
    op.drop_table("trail_head")
    for name in ("seal", "detail_digest", "salt"):
        op.drop_column("trail", name)
    _refuse_changes("1 = 0")


def _seal_what_is_there() -> None:
    connection = op.get_bind()
    heads = []
    for shop_id, lines in groupby(_lines(connection), key=lambda line: line["shop_id"]):
        seal, count = NOTHING_BEFORE, 0
        put: list[dict[str, Any]] = []
        for line in lines:
            whole = sealed(seal, line)
            seal, count = whole["seal"], count + 1
            put.append({f"its_{name}": whole[name] for name in ("id", "salt", "detail_digest", "seal")})
            if len(put) == _LINES_AT_ONCE:
                _write(connection, put)
                put = []
        _write(connection, put)
        heads.append({"shop_id": shop_id, "rows": count, "seal": seal, "checked_by": "", "checked_says": ""})
    if heads:
        names: list[sa.ColumnClause[Any]] = [sa.column(name) for name in heads[0]]
        connection.execute(sa.insert(sa.table("trail_head", *names)), heads)


def _lines(connection: sa.Connection) -> Iterator[dict[str, Any]]:
    wanted = [_trail.c[name] for name in (*_KEPT[:8], "detail")]
    for shop_id in (
        connection.execute(sa.select(_trail.c.shop_id).distinct().order_by("shop_id")).scalars().all()
    ):
        last = 0
        while some := connection.execute(
            sa.select(*wanted)
            .where(_trail.c.shop_id == shop_id, _trail.c.id > last)
            .order_by(_trail.c.id)
            .limit(_LINES_AT_ONCE)
        ).all():
            yield from (dict(one._mapping) for one in some)  # noqa: SLF001  # a row's documented mapping
            last = some[-1].id


def _write(connection: sa.Connection, put: list[dict[str, Any]]) -> None:
    if put:
        values: dict[str, Any] = {
            name: sa.bindparam(f"its_{name}") for name in ("salt", "detail_digest", "seal")
        }
        connection.execute(sa.update(_trail).where(_trail.c.id == sa.bindparam("its_id")).values(values), put)


def _let_lines_change() -> None:
    if op.get_bind().dialect.name == "postgresql":
        op.execute("DROP TRIGGER trail_keeps ON trail")
        op.execute("DROP FUNCTION trail_keeps()")
    else:
        for verb in ("UPDATE", "DELETE"):
            op.execute(f"DROP TRIGGER trail_keeps_{verb}")


def _refuse_changes(but: str) -> None:
    """Refuse to change or delete a line, `but` for a change of which that is true."""
    if op.get_bind().dialect.name == "postgresql":
        same = but.replace("{same}", "IS NOT DISTINCT FROM")
        op.execute(
            "CREATE FUNCTION trail_keeps() RETURNS trigger AS $$ BEGIN "
            f"IF TG_OP = 'UPDATE' THEN IF {same} THEN RETURN NEW; END IF; END IF; "
            f"RAISE EXCEPTION '{_REFUSED}'; END $$ LANGUAGE plpgsql"
        )
        op.execute(
            "CREATE TRIGGER trail_keeps BEFORE UPDATE OR DELETE ON trail "
            "FOR EACH ROW EXECUTE FUNCTION trail_keeps()"
        )
        return
    unless = f"WHEN NOT ({but.replace('{same}', 'IS')})"
    for verb, when in (("UPDATE", unless), ("DELETE", "")):
        op.execute(
            f"CREATE TRIGGER trail_keeps_{verb} BEFORE {verb} ON trail {when} "
            f"BEGIN SELECT RAISE(ABORT, '{_REFUSED}'); END"
        )
