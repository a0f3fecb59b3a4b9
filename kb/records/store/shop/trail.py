"""The trail: its lines as they were written, whether they hang together, and the words of one taken away."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any

from sqlalchemy import Select, select, update
from sqlmodel import Session, col

from kb.records.tables import Trail, TrailHead
from kb.records.trail_seals import NOTHING_BEFORE, digest_of, seal_of

_ROWS_AT_ONCE = 2000
_COLUMNS = (
    *(Trail.id, Trail.shop_id, Trail.at, Trail.user_id, Trail.who, Trail.action, Trail.noun),
    *(Trail.noun_id, Trail.detail, Trail.salt, Trail.detail_digest, Trail.seal),
)

Line = Mapping[str, Any]


def lines_after(session: Session, shop_id: int, after: int = 0) -> Iterator[Line]:
    """Every line with an id above `after`, in their order; some are held at a time."""
    wanted = _of(shop_id).where(col(Trail.id) > after).order_by(col(Trail.id))
    with session.execute(wanted.execution_options(yield_per=_ROWS_AT_ONCE)) as found:
        for row in found.mappings():
            yield {**row}


def newest_lines(
    session: Session,
    shop_id: int,
    *,
    who: str = "",
    noun: str = "",
    between: tuple[datetime, datetime] | None = None,
    before: int | None = None,
    limit: int,
) -> list[Line]:
    """The newest first; empty words and None ask for nothing. `before`: only lines with lower ids."""
    wanted = _of(shop_id).order_by(col(Trail.id).desc()).limit(limit)
    if who:
        wanted = wanted.where(col(Trail.who) == who)
    if noun:
        wanted = wanted.where(col(Trail.noun) == noun)
    if between:
        wanted = wanted.where(col(Trail.at) >= between[0], col(Trail.at) < between[1])
    if before is not None:
        wanted = wanted.where(col(Trail.id) < before)
    return [{**row} for row in session.execute(wanted).mappings()]


def whose_and_of_what(session: Session, shop_id: int) -> tuple[list[str], list[str]]:
    """The names and the kinds of thing that lines are of."""
    found = []
    for column in (Trail.who, Trail.noun):
        own = select(col(column)).where(col(Trail.shop_id) == shop_id).distinct().order_by(col(column))
        found.append(list(session.execute(own).scalars()))
    return found[0], found[1]


def hangs_on(line: Line, before: str) -> bool:
    """Whether the line is as it was written after the one with the seal `before`."""
    return bool(line["seal"] == seal_of(before or NOTHING_BEFORE, line))


def words_hold(line: Line) -> bool:
    """Whether its words are as they were written, or were taken away whole."""
    if line["salt"] is None:
        return not line["detail"]
    return bool(digest_of(line["salt"], line["detail"]) == line["detail_digest"])


def take_words_away(session: Session, shop_id: int, line_id: int) -> bool:
    """Whether there was such a line with words; the seals hold without them."""
    own = (col(Trail.shop_id) == shop_id, col(Trail.id) == line_id, col(Trail.salt).is_not(None))
    gone = update(Trail).where(*own).values(detail={}, salt=None)
    done = session.execute(gone.execution_options(synchronize_session=False))
    return bool(getattr(done, "rowcount", 0))


def head(session: Session, shop_id: int) -> TrailHead | None:
    own = select(TrailHead).where(col(TrailHead.shop_id) == shop_id)
    return session.execute(own.limit(1)).scalars().first()


def _of(shop_id: int) -> Select[Any]:
    return select(*(col(one) for one in _COLUMNS)).where(col(Trail.shop_id) == shop_id)
