"""What a transaction counts and notes down while it runs, written in one go before it commits.

Nobody else writes meanwhile (one writer at a time), so a counter read once stays right until the commit.
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import groupby
from typing import Any

from sqlalchemy import insert, select, update
from sqlmodel import Session, col

from kb.records.tables import Revision, Trail, TrailHead
from kb.records.trail_seals import NOTHING_BEFORE, sealed

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
    for shop_id, lines in groupby(trail, key=lambda line: line["shop_id"]):
        _seal_and_write(session, shop_id, list(lines))


def _seal_and_write(session: Session, shop_id: int, lines: list[dict[str, Any]]) -> None:
    """Each line over the one before it: the transaction has the only pen, so no other line comes between."""
    head = session.execute(
        select(col(TrailHead.rows), col(TrailHead.seal)).where(col(TrailHead.shop_id) == shop_id).limit(1)
    ).first()
    seal, whole = head.seal if head else NOTHING_BEFORE, []
    for line in lines:
        whole.append(sealed(seal, line))
        seal = whole[-1]["seal"]
    session.execute(insert(Trail), whole)
    now = {"rows": (head.rows if head else 0) + len(whole), "seal": seal}
    if head is None:
        session.execute(insert(TrailHead), [{"shop_id": shop_id, **now}])
    else:
        put = update(TrailHead).where(col(TrailHead.shop_id) == shop_id).values(now)
        session.execute(put.execution_options(synchronize_session=False))
