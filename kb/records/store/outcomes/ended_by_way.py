"""How reflashes ended, by who did them."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from sqlalchemy import case, func, select
from sqlmodel import Session, col

from kb.nouns.outcomes import CountedAs, Standing
from kb.records.tables import Outcome, ProgrammingEvent, Reflash


class Ended(NamedTuple):
    """Of `every` reflash those that came `back` or had another cause, and those not cured at road test."""

    back: int
    at_road_test: int
    every: int


NOTHING_ENDED = Ended(0, 0, 0)


def ended_by_way(session: Session, shop_id: int, since: date, until: date) -> dict[str, Ended]:
    """How the reflashes of those days ended by way, without those with other work."""
    back = col(Outcome.event_kind).in_((Standing.COMEBACK, Standing.OTHER_CAUSE))
    at_once = col(Outcome.event_kind) == Standing.FAILED_AT_ROAD_TEST
    sums = (func.sum(case((one, 1), else_=0)) for one in (back, at_once))
    rows = session.execute(
        select(col(ProgrammingEvent.way), *sums, func.count())
        .select_from(Outcome)
        .join(Reflash, col(Reflash.id) == col(Outcome.reflash_id))
        .join(ProgrammingEvent, col(ProgrammingEvent.id) == col(Reflash.event_id))
        .where(
            col(Outcome.shop_id) == shop_id,
            col(Outcome.counted_as).in_((CountedAs.TOGETHER, CountedAs.ONE_BY_ONE)),
            col(Outcome.other_work).is_(False),
            col(Outcome.reflashed_on).between(since, until),
        )
        .group_by(col(ProgrammingEvent.way))
    )
    return {way: Ended(*map(int, counts)) for way, *counts in rows}
