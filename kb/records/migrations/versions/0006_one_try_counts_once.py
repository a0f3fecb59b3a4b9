"""Modules of one sitting, update and concern are one try; and what a rule changed since says otherwise.

A concern closed with another cause, and a new complaint, are read by other rules than before: such outcomes
are read one by one from now on, and a new complaint is no sighting of the first one any more.
"""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"

_outcome = sa.table(
    "outcome",
    *(sa.column(name, sa.Integer) for name in ("id", "concern_id", "reflash_id", "update_id", "counted_as")),
    sa.column("comeback_cost_minor", sa.Integer),
    sa.column("installed", sa.Boolean),
    *(sa.column(name, sa.Date) for name in ("reflashed_on", "last_seen_on", "count_ends_on")),
)
_reflash = sa.table("reflash", sa.column("id", sa.Integer), sa.column("event_id", sa.Integer))
_concern = sa.table("concern", sa.column("id", sa.Integer), sa.column("ending", sa.String))
_follow_up = sa.table(
    "follow_up",
    sa.column("concern_id", sa.Integer),
    sa.column("result", sa.String),
    sa.column("seen_on", sa.Date),
)


def upgrade() -> None:
    _read_one_by_one()
    _see_only_what_was_fine()
    _count_once()


def downgrade() -> None:
    """How each was counted before is not kept; read one by one, every outcome counts rightly."""
    op.execute(_outcome.update().where(_outcome.c.counted_as == 3).values(counted_as=2))


def _heard(result: str) -> sa.Select[tuple[int]]:
    return sa.select(_follow_up.c.concern_id).where(_follow_up.c.result == result)


def _read_one_by_one() -> None:
    ended = sa.select(_concern.c.id).where(_concern.c.ending == "other_cause")
    told = (ended, _heard("new_complaint"), _heard("updated_by_air"))
    changed = sa.or_(_outcome.c.count_ends_on.is_not(None), *(_outcome.c.concern_id.in_(one) for one in told))
    op.execute(_outcome.update().where(_outcome.c.counted_as == 1, changed).values(counted_as=2))


def _see_only_what_was_fine() -> None:
    last = (
        sa.select(sa.func.max(_follow_up.c.seen_on))
        .where(
            _follow_up.c.concern_id == _outcome.c.concern_id,
            _follow_up.c.result == "fine",
            _follow_up.c.seen_on >= _outcome.c.reflashed_on,
        )
        .scalar_subquery()
    )
    some = _outcome.c.concern_id.in_(_heard("new_complaint"))
    op.execute(_outcome.update().where(some).values(last_seen_on=last))


def _count_once() -> None:
    """The one whose module was updated again first stands for its sitting, and bears what comebacks cost."""
    rows = op.get_bind().execute(
        sa.select(
            _outcome.c.id,
            _outcome.c.concern_id,
            _reflash.c.event_id,
            _outcome.c.update_id,
            _outcome.c.count_ends_on,
            _outcome.c.comeback_cost_minor,
        )
        .join(_reflash, _reflash.c.id == _outcome.c.reflash_id)
        .where(_outcome.c.installed)
        .order_by(_outcome.c.id)
    )
    tries: dict[tuple[int, int, int], list[Any]] = {}
    for row in rows:
        tries.setdefault((row.concern_id, row.event_id, row.update_id or 0), []).append(row)
    for same in tries.values():
        if len(same) > 1:
            _let_one_stand(same)


def _let_one_stand(same: list[Any]) -> None:
    first, *others = sorted(same, key=lambda one: (str(one.count_ends_on or "9999"), one.id))
    cost = sum(one.comeback_cost_minor for one in same)
    op.execute(_outcome.update().where(_outcome.c.id == first.id).values(comeback_cost_minor=cost))
    rest = _outcome.c.id.in_([one.id for one in others])
    op.execute(_outcome.update().where(rest).values(counted_as=3, comeback_cost_minor=0))
