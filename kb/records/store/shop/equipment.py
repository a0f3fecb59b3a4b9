"""Equipment, what makes ask for before programming, and subscriptions, bought or on offer."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date

from sqlalchemy import bindparam, func, select
from sqlmodel import Session, col

from kb.records.store.rows import rows_where
from kb.records.tables import (
    ConfirmedWindow,
    Equipment,
    EquipmentVersion,
    FailureSheetRow,
    MakeRequirement,
    PlanOffer,
    ProgrammingEvent,
    Subscription,
)


def equipment(session: Session, shop_id: int, *, retired_too: bool = False) -> list[Equipment]:
    wanted = _EQUIPMENT if retired_too else _EQUIPMENT.where(col(Equipment.retired_on).is_(None))
    return list(session.execute(wanted, {"shop": shop_id}).scalars())


_EQUIPMENT = (
    select(Equipment)
    .where(col(Equipment.shop_id) == bindparam("shop"))
    .order_by(col(Equipment.kind), col(Equipment.id))
)


def versions(session: Session, shop_id: int) -> list[EquipmentVersion]:
    """What ran on which piece, by the day since when."""
    table = EquipmentVersion
    return rows_where(session, table, col(table.shop_id) == shop_id, by=(col(table.since), col(table.id)))


def requirements(session: Session, shop_id: int, make: str | None = None) -> list[MakeRequirement]:
    """Those in force, of one make (capitals aside) or of all."""
    table = MakeRequirement
    wanted = [col(table.shop_id) == shop_id, col(table.retired_on).is_(None)]
    if make is not None:
        wanted.append(func.lower(col(table.make)) == make.strip().lower())
    return rows_where(session, table, *wanted, by=(col(table.make), col(table.place), col(table.id)))


def failure_sheets(session: Session, shop_id: int) -> list[FailureSheetRow]:
    """Every make's, by make."""
    table = FailureSheetRow
    return rows_where(session, table, col(table.shop_id) == shop_id, by=(col(table.make_folded),))


def failure_sheet(session: Session, shop_id: int, make_folded: str) -> FailureSheetRow | None:
    table = FailureSheetRow
    wanted = (col(table.shop_id) == shop_id, col(table.make_folded) == make_folded)
    return next(iter(rows_where(session, table, *wanted)), None)


def confirmed_windows(session: Session, shop_id: int) -> list[ConfirmedWindow]:
    """Every printed line whose window a lead confirmed, oldest first."""
    table = ConfirmedWindow
    return rows_where(session, table, col(table.shop_id) == shop_id, by=(col(table.id),))


def subscriptions(session: Session, shop_id: int, makes: Collection[str] | None = None) -> list[Subscription]:
    """Newest first, of all makes or of those written as in `makes`."""
    table = Subscription
    wanted = [col(table.shop_id) == shop_id]
    if makes is not None:
        if not makes:
            return []
        wanted.append(col(table.make).in_(makes))
    return rows_where(session, table, *wanted, by=(col(table.bought_on).desc(), col(table.id).desc()))


def makes_subscribed(session: Session, shop_id: int) -> list[str]:
    """Each writing of a make that a subscription is entered for."""
    wanted = select(col(Subscription.make)).where(col(Subscription.shop_id) == shop_id)
    return list(session.execute(wanted.distinct()).scalars())


def remove(session: Session, row: Subscription) -> None:
    session.delete(row)
    session.flush()


def days_programmed_under(session: Session, shop_id: int, subscription_id: int) -> list[date]:
    """The day of each programming event that names the subscription, oldest first."""
    named = select(col(ProgrammingEvent.performed_on)).where(
        col(ProgrammingEvent.shop_id) == shop_id, col(ProgrammingEvent.subscription_id) == subscription_id
    )
    return list(session.execute(named.order_by(col(ProgrammingEvent.performed_on))).scalars())


def plan_offers(session: Session, shop_id: int) -> list[PlanOffer]:
    """Those that still stand, by make and length."""
    standing = (col(PlanOffer.shop_id) == shop_id, col(PlanOffer.retired_on).is_(None))
    return rows_where(session, PlanOffer, *standing, by=(col(PlanOffer.make), col(PlanOffer.days)))
