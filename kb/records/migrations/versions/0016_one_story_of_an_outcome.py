"""The dates of an outcome go: what reports group by tells the same, and is the only reading.

An update by air or a later reflash had ended a count in the dates alone where nobody knew how the vehicle
was, or where the rule was another when it was entered. Such outcomes have ended in what reports group by too.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0016"
down_revision = "0018"

_DATES = ("came_back_on", "other_cause_on", "last_seen_on", "count_ends_on")
_TOGETHER, _ONE_BY_ONE = 1, 2
_IN_WINDOW, _ENDED, _NOT_KNOWN = 4, 6, 7
_outcome = sa.table(
    "outcome",
    *(sa.column(name, sa.Integer) for name in ("id", "counted_as", "event_kind", "event_day")),
    sa.column("installed", sa.Boolean),
    *(sa.column(name, sa.Date) for name in ("reflashed_on", "count_ends_on")),
)


def upgrade() -> None:
    _end_what_ended()
    for name in (*_DATES, "cost_minor"):
        op.drop_column("outcome", name)


def downgrade() -> None:
    """The dates come back empty; whatever is heard or done next fills those of its concern."""
    for name in _DATES:
        op.add_column("outcome", sa.Column(name, sa.Date(), nullable=True))
    op.add_column("outcome", sa.Column("cost_minor", sa.Integer(), nullable=False, server_default="0"))


def _end_what_ended() -> None:
    table = _outcome.c
    ended = op.get_bind().execute(
        sa.select(table.id, table.reflashed_on, table.count_ends_on).where(
            table.installed, table.count_ends_on.is_not(None), table.event_kind.in_((_IN_WINDOW, _NOT_KNOWN))
        )
    )
    days = [{"outcome": one.id, "day": (one.count_ends_on - one.reflashed_on).days} for one in ended]
    if not days:
        return
    alone = sa.case((table.counted_as == _TOGETHER, _ONE_BY_ONE), else_=table.counted_as)
    change = _outcome.update().where(table.id == sa.bindparam("outcome"))
    change = change.values(event_kind=_ENDED, event_day=sa.bindparam("day"), counted_as=alone)
    op.get_bind().execute(change, days)
