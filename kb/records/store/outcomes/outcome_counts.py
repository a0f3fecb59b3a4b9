"""Outcomes as counts: equal ones together, grouped by the database."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Select,
    and_,
    case,
    exists,
    func,
    literal,
    select,
    union_all,
    update,
)
from sqlmodel import Session, col

from kb.nouns.outcomes import FAILURES, OPEN_KINDS, CountedAs
from kb.nouns.shop.ways import AWAY
from kb.records.store.imports.bulk import table_of
from kb.records.tables import ConcernRow, Outcome, ProgrammingEvent, Reflash, VehicleRow

AGING_KINDS = (*FAILURES, *OPEN_KINDS)
"""With failures: while the window may still be open, their age is told apart."""


@dataclass(frozen=True, slots=True)
class CountsWanted:
    """Which outcomes: reflashed by `as_of`, within the days, of these makes as stored, modules, updates, and
    of one way.
    """

    as_of: date
    window_days: int
    since: date | None = None
    until: date | None = None
    makes: tuple[str, ...] | None = None
    modules: tuple[str, ...] | None = None
    updates: tuple[int, ...] | None = None
    way: str = ""


def counted(session: Session, shop_id: int, wanted: CountsWanted, *, by_day: bool) -> list[tuple[int, ...]]:
    """Rows of (update or 0, month, kind, day, day number of the reflash, other work, count, cost, how many of
    them cost something).

    The day number is exact if `by_day`; else only where a window may be open, and otherwise of long ago.
    Outcomes of which something was heard after `as_of`, or that are read one by one, are not in it.
    """
    start = col(Outcome.reflashed_day)
    # The day goes first: few rows are young, and the rest are done with after one comparison.
    still_open = and_(
        start > wanted.as_of.toordinal() - wanted.window_days, col(Outcome.event_kind).in_(AGING_KINDS)
    )
    whole = (*_chosen(shop_id, wanted), col(Outcome.counted_as) == CountedAs.TOGETHER)
    whole = (*whole, col(Outcome.heard_day) <= wanted.as_of.toordinal())
    if by_day:
        queries = [_grouped(wanted, start).where(*whole)]
    else:
        queries = [
            _grouped(wanted, None).where(*whole, ~still_open),
            _grouped(wanted, start).where(*whole, still_open),
        ]
    connection = session.connection()
    return [tuple(row) for query in queries for row in connection.execute(query)]


def one_by_one(shop_id: int, wanted: CountsWanted) -> tuple[ColumnElement[bool], ...]:
    """The condition that chooses the outcomes which `counted` leaves out; its halves read the index alone."""
    own = table_of(Outcome).alias("left_out")
    mine = select(own.c.id).where(own.c.shop_id == shop_id)
    alone = mine.where(own.c.counted_as == CountedAs.ONE_BY_ONE)
    later = mine.where(own.c.counted_as == CountedAs.TOGETHER, own.c.heard_day > wanted.as_of.toordinal())
    return (*_chosen(shop_id, wanted), col(Outcome.id).in_(union_all(alone, later)))


def failed_together(shop_id: int, wanted: CountsWanted) -> tuple[ColumnElement[bool], ...]:
    """The condition that chooses what `counted` counts as failed within the window."""
    return (
        *_chosen(shop_id, wanted),
        col(Outcome.counted_as) == CountedAs.TOGETHER,
        col(Outcome.heard_day) <= wanted.as_of.toordinal(),
        col(Outcome.event_kind).in_(FAILURES),
        col(Outcome.event_day) <= wanted.window_days,
    )


def counts() -> ColumnElement[bool]:
    """The condition that chooses outcomes which count, leaving out those that another stands for."""
    return col(Outcome.counted_as) != CountedAs.WITH_ANOTHER


def concerns_with_more(session: Session, update_ids: Iterable[int]) -> list[int]:
    """Concerns with one of these updates that have more than one outcome."""
    own, other = table_of(Outcome), table_of(Outcome).alias("other")
    more = exists().where(other.c.concern_id == own.c.concern_id, other.c.id != own.c.id)
    query = select(own.c.concern_id).where(own.c.update_id.in_(sorted(update_ids)), more)
    return sorted(set(session.execute(query).scalars()))


def how_many(session: Session, shop_id: int) -> int:
    query = select(func.count()).select_from(Outcome).where(col(Outcome.shop_id) == shop_id)
    return int(session.execute(query).scalar_one())


def newest_with(
    session: Session, shop_id: int, update_ids: Iterable[int], until: date, most: int
) -> list[int]:
    """Ids of the newest installed outcomes of some updates."""
    query = select(col(Outcome.id)).where(
        col(Outcome.shop_id) == shop_id,
        col(Outcome.update_id).in_(sorted(update_ids)),
        col(Outcome.reflashed_on) <= until,
        col(Outcome.installed).is_(True),
        counts(),
    )
    newest = query.order_by(col(Outcome.reflashed_on).desc(), col(Outcome.id).desc()).limit(most)
    return [one for one in session.execute(newest).scalars() if one is not None]


def correct_odometers(session: Session, repair_order_id: int, before: int | None, now: int | None) -> int:
    """Put the reading of a repair order's reflashes right where they had the one before; how many there were.

    Their outcomes are to be renewed.
    """
    table = table_of(Outcome)
    ids = select(table.c.id).join(ConcernRow, col(ConcernRow.id) == table.c.concern_id)
    ids = ids.where(
        col(ConcernRow.repair_order_id) == repair_order_id, table.c.odometer.is_not_distinct_from(before)
    )
    found = list(session.execute(ids).scalars())
    session.execute(update(table).where(table.c.id.in_(found)).values(odometer=now))
    return len(found)


def names_in_use(session: Session, shop_id: int) -> tuple[list[str], list[str]]:
    """Makes and modules as stored."""
    makes = select(col(VehicleRow.make)).where(col(VehicleRow.shop_id) == shop_id).distinct()
    modules = (
        select(col(Reflash.module))
        .join(ProgrammingEvent, col(ProgrammingEvent.id) == col(Reflash.event_id))
        .where(col(ProgrammingEvent.shop_id) == shop_id)
        .distinct()
    )
    return sorted(session.execute(makes).scalars()), sorted(session.execute(modules).scalars())


def ways_used(session: Session, shop_id: int) -> list[str]:
    """The ways other than here by which something was ever programmed."""
    event = ProgrammingEvent
    away = (col(event.shop_id) == shop_id, col(event.way).in_([one.value for one in AWAY]))
    return list(session.execute(select(col(event.way)).where(*away).distinct()).scalars())


def names_programmed(session: Session, shop_id: int) -> tuple[list[str], list[str]]:
    """Makes and modules as stored, of vehicles that were programmed."""
    makes = (
        select(col(VehicleRow.make))
        .join(ProgrammingEvent, col(ProgrammingEvent.vehicle_id) == col(VehicleRow.id))
        .where(col(ProgrammingEvent.shop_id) == shop_id)
        .distinct()
    )
    return list(session.execute(makes).scalars()), names_in_use(session, shop_id)[1]


def _chosen(shop_id: int, wanted: CountsWanted) -> tuple[ColumnElement[bool], ...]:
    start = col(Outcome.reflashed_day)
    chosen = [col(Outcome.shop_id) == shop_id, start <= wanted.as_of.toordinal()]
    if wanted.since is not None:
        chosen.append(start >= wanted.since.toordinal())
    if wanted.until is not None:
        chosen.append(start <= wanted.until.toordinal())
    if wanted.updates is not None:
        chosen.append(col(Outcome.update_id).in_(wanted.updates))
    if wanted.modules is not None:
        chosen.append(_of_a_module(wanted.modules))
    if wanted.way:
        chosen.append(_of_a_way(wanted.way))
    if wanted.makes is not None:
        chosen.append(col(VehicleRow.make).in_(wanted.makes))
    return tuple(chosen)


def _of_a_way(way: str) -> ColumnElement[bool]:
    own, reflash, event = table_of(Outcome), table_of(Reflash).alias("sat"), table_of(ProgrammingEvent)
    sitting = event.alias("sitting")
    return exists().where(
        reflash.c.id == own.c.reflash_id, sitting.c.id == reflash.c.event_id, sitting.c.way == way
    )


def _of_a_module(modules: Sequence[str]) -> ColumnElement[bool]:
    """The outcome's own module is one of these, or that of another one which it stands for."""
    own, same, reflash = table_of(Outcome), table_of(Outcome).alias("same"), table_of(Reflash).alias("done")
    return exists().where(
        same.c.concern_id == own.c.concern_id,
        same.c.reflashed_day == own.c.reflashed_day,
        same.c.update_id.is_not_distinct_from(own.c.update_id),
        reflash.c.id == same.c.reflash_id,
        reflash.c.module.in_(modules),
    )


def _grouped(wanted: CountsWanted, start: Any) -> Select[Any]:
    """The counts in the order of the index `outcome_counts`, so that no row needs sorting."""
    groups = [
        col(Outcome.update_id),
        col(Outcome.other_work),
        col(Outcome.event_kind),
        col(Outcome.event_day),
        col(Outcome.reflashed_month),
    ]
    update_id, other_work, kind, day, month = groups
    query = select(
        func.coalesce(update_id, 0),
        month,
        kind,
        day,
        literal(1) if start is None else start,
        other_work,
        func.count(),
        func.sum(col(Outcome.comeback_cost_minor)),
        func.sum(case((col(Outcome.comeback_cost_minor) > 0, 1), else_=0)),
    ).group_by(*groups, *([] if start is None else [start]))
    if wanted.makes is not None:
        query = query.join(Reflash, col(Reflash.id) == col(Outcome.reflash_id))
        query = query.join(ProgrammingEvent, col(ProgrammingEvent.id) == col(Reflash.event_id))
        query = query.join(VehicleRow, col(VehicleRow.id) == col(ProgrammingEvent.vehicle_id))
    return query
