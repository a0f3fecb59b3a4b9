"""What a look-up by VIN said of each recall, in place of one gate for all; and the shop's families of models.

A recall gate that was settled becomes a look-up that found none open, or one open that is not named.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from kb.records.migrations.new_tables import days, flags, moments, new_table, of_shop, refers, texts, trees

revision = "0011"
down_revision = "0010"

_SHARED = ("concern_id", "by", "on", "at")
_gate = sa.table("gate", *(sa.column(name, sa.String) for name in (*_SHARED, "gate", "result", "value")))
_look_up = sa.table(
    "recall_look_up",
    *(sa.column(name, sa.String) for name in (*_SHARED, "number", "result")),
    sa.column("touches", sa.Boolean),
)
_OF_RECALLS = "recall_checked"


def upgrade() -> None:
    _make_tables()
    is_open = _gate.c.result == "fault"
    touches = sa.case((is_open, _gate.c.value != "other"), else_=sa.null())
    settled = sa.select(
        *(_gate.c[name] for name in _SHARED),
        sa.literal(""),
        sa.case((is_open, "open"), else_="none_open"),
        touches,
    ).where(_gate.c.gate == _OF_RECALLS, _gate.c.result != "")
    op.execute(_look_up.insert().from_select([*_SHARED, "number", "result", "touches"], settled))
    op.execute(_gate.delete().where(_gate.c.gate == _OF_RECALLS))


def downgrade() -> None:
    """One open recall of a concern makes the gate a fault; what was said of each by itself is not kept."""
    of_all = _look_up.c.number == ""
    is_open = _look_up.c.result == "open"
    result = sa.case((is_open, "fault"), else_="fine")
    value = sa.case((is_open & sa.not_(_look_up.c.touches), "other"), else_="")
    settled = sa.select(
        *(_look_up.c[name] for name in _SHARED), sa.literal(_OF_RECALLS), result, value
    ).where(of_all, _look_up.c.result != "")
    op.execute(_gate.insert().from_select([*_SHARED, "gate", "result", "value"], settled))
    op.drop_table("model_family")
    op.drop_table("recall_look_up")


def _make_tables() -> None:
    new_table(
        "recall_look_up",
        refers("concern_id", "concern"),
        texts("number", "result"),
        flags("touches", maybe=True),
        texts("by"),
        days("on"),
        moments("at"),
        unique=("concern_id", "number"),
    )
    new_table(
        "model_family",
        of_shop(),
        texts("make"),
        trees("names"),
        flags("apart"),
        texts("author"),
        moments("added_at"),
        texts("undone_by"),
        moments("undone_at", maybe=True),
    )
