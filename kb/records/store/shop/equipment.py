"""Equipment, what makes ask for before programming, and subscriptions."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date
from typing import TypeVar

from sqlalchemy import bindparam, func, select
from sqlmodel import Session, col

from kb.records.tables import ConfirmedWindow, Equipment, MakeRequirement, ProgrammingEvent, Subscription

Row = TypeVar("Row", ConfirmedWindow, Equipment, MakeRequirement, Subscription)


def save(session: Session, row: Row) -> Row:
    session.add(row)
    session.flush()
    return row


def equipment(session: Session, shop_id: int, *, retired_too: bool = False) -> list[Equipment]:
    wanted = _EQUIPMENT if retired_too else _EQUIPMENT.where(col(Equipment.retired_on).is_(None))
    return list(session.execute(wanted, {"shop": shop_id}).scalars())


_EQUIPMENT = (
    select(Equipment)
    .where(col(Equipment.shop_id) == bindparam("shop"))
    .order_by(col(Equipment.kind), col(Equipment.id))
)


def equipment_with_id(session: Session, shop_id: int, equipment_id: int) -> Equipment | None:
    row = session.get(Equipment, equipment_id)
    return row if row is not None and row.shop_id == shop_id else None


def requirements(session: Session, shop_id: int, make: str | None = None) -> list[MakeRequirement]:
    """Those in force, of one make (capitals aside) or of all."""
    wanted = select(MakeRequirement).where(
        col(MakeRequirement.shop_id) == shop_id, col(MakeRequirement.retired_on).is_(None)
    )
    if make is not None:
        wanted = wanted.where(func.lower(col(MakeRequirement.make)) == make.strip().lower())
    ordered = wanted.order_by(col(MakeRequirement.make), col(MakeRequirement.place), col(MakeRequirement.id))
    return list(session.execute(ordered).scalars())


def requirement_with_id(session: Session, shop_id: int, requirement_id: int) -> MakeRequirement | None:
    row = session.get(MakeRequirement, requirement_id)
    return row if row is not None and row.shop_id == shop_id else None


def confirmed_windows(session: Session, shop_id: int) -> list[ConfirmedWindow]:
    """Every printed line whose window a lead confirmed, oldest first."""
    wanted = select(ConfirmedWindow).where(col(ConfirmedWindow.shop_id) == shop_id)
    return list(session.execute(wanted.order_by(col(ConfirmedWindow.id))).scalars())


def subscriptions(session: Session, shop_id: int, makes: Collection[str] | None = None) -> list[Subscription]:
    """Newest first, of all makes or of those written as in `makes`."""
    wanted = select(Subscription).where(col(Subscription.shop_id) == shop_id)
    if makes is not None:
        wanted = wanted.where(col(Subscription.make).in_(makes))
    ordered = wanted.order_by(col(Subscription.bought_on).desc(), col(Subscription.id).desc())
    return list(session.execute(ordered).scalars())


def makes_subscribed(session: Session, shop_id: int) -> list[str]:
    """Each writing of a make that a subscription is entered for."""
    wanted = select(col(Subscription.make)).where(col(Subscription.shop_id) == shop_id)
    return list(session.execute(wanted.distinct()).scalars())


def subscription_with_id(session: Session, shop_id: int, subscription_id: int) -> Subscription | None:
    row = session.get(Subscription, subscription_id)
    return row if row is not None and row.shop_id == shop_id else None


def remove(session: Session, row: Subscription) -> None:
    session.delete(row)
    session.flush()


def days_programmed_under(session: Session, shop_id: int, subscription_id: int) -> list[date]:
    """The day of each programming event that names the subscription, oldest first."""
    named = select(col(ProgrammingEvent.performed_on)).where(
        col(ProgrammingEvent.shop_id) == shop_id, col(ProgrammingEvent.subscription_id) == subscription_id
    )
    return list(session.execute(named.order_by(col(ProgrammingEvent.performed_on))).scalars())
