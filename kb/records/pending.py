"""What a transaction counts and notes down while it runs, written in one go before it commits.

Nobody else writes meanwhile (one writer at a time), so a counter read once stays right until the commit.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import insert, select, update
from sqlmodel import Session, col

from kb.records.tables import Revision, Trail

_READ, _CHANGED, _TRAIL = "revisions", "changed revisions", "trail"


def revisions(session: Session, shop_id: int) -> dict[str, int]:
    """The shop's counters as this transaction sees them."""
    held: dict[str, int] | None = session.info.get((_READ, shop_id))
    if held is None:
        rows = session.execute(
            select(col(Revision.topic), col(Revision.number)).where(col(Revision.shop_id) == shop_id)
        )
        held = {row.topic: row.number for row in rows}
        session.info[_READ, shop_id] = held
    return dict(held)


def bump(session: Session, shop_id: int, topic: str) -> int:
    """Count a topic up by one and give its new number; it is written before the commit."""
    number = revisions(session, shop_id)[topic] + 1
    put_revision(session, shop_id, topic, number)
    return number


def put_revision(session: Session, shop_id: int, topic: str, number: int) -> None:
    """Set the number of a topic that has a row; it is written before the commit."""
    revisions(session, shop_id)
    session.info[_READ, shop_id][topic] = number
    session.info.setdefault(_CHANGED, {})[shop_id, topic] = number


def has_counted(session: Session) -> bool:
    """Whether this transaction has counted a topic up; true until the end, so that a failed commit knows."""
    return bool(session.info.get(_CHANGED))


def append_trail(session: Session, entry: Mapping[str, Any]) -> None:
    """Keep one line of the trail, columns as in the table, to be written before the commit."""
    session.info.setdefault(_TRAIL, []).append(dict(entry))


def write_pending(session: Session) -> None:
    """Write the counters and the trail of this transaction."""
    session.flush()
    changed: dict[tuple[int, str], int] = session.info.get(_CHANGED, {})
    for (shop_id, topic), number in changed.items():
        session.execute(
            update(Revision)
            .where(col(Revision.shop_id) == shop_id, col(Revision.topic) == topic)
            .values(number=number)
            .execution_options(synchronize_session=False)
        )
    trail: list[dict[str, Any]] = session.info.pop(_TRAIL, [])
    if trail:
        session.execute(insert(Trail), trail)
