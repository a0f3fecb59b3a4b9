"""Equipment, what makes ask for before programming, and subscriptions."""

from __future__ import annotations

from datetime import date
from typing import TypeVar

from sqlalchemy import ColumnElement, func, select
from sqlmodel import Session, col

from kb.records.tables import Equipment, MakeRequirement, ProgrammingEvent, Subscription

Row = TypeVar("Row", Equipment, MakeRequirement, Subscription)

_LEFT_OUT_OF_MAKES = (" ", "-", "_", *map(chr, range(0x2010, 0x2016)))


def save(session: Session, row: Row) -> Row:
    session.add(row)
    session.flush()
    return row


def equipment(session: Session, shop_id: int, *, retired_too: bool = False) -> list[Equipment]:
    wanted = select(Equipment).where(col(Equipment.shop_id) == shop_id)
    if not retired_too:
        wanted = wanted.where(col(Equipment.retired_on).is_(None))
    return list(session.execute(wanted.order_by(col(Equipment.kind), col(Equipment.id))).scalars())


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


def subscriptions(session: Session, shop_id: int) -> list[Subscription]:
    """Newest first."""
    return list(
        session.execute(
            select(Subscription)
            .where(col(Subscription.shop_id) == shop_id)
            .order_by(col(Subscription.bought_on).desc(), col(Subscription.id).desc())
        ).scalars()
    )


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


def active_subscription(
    session: Session, shop_id: int, folded_make: str, kind: str, on: date
) -> Subscription | None:
    """The one that lasts longest among those that run on the day; `folded_make` has no blanks or hyphens."""
    return (
        session.execute(
            select(Subscription)
            .where(
                col(Subscription.shop_id) == shop_id,
                _folded(Subscription.make) == folded_make,
                col(Subscription.kind) == kind,
                col(Subscription.bought_on) <= on,
                col(Subscription.ends_on) >= on,
            )
            .order_by(col(Subscription.ends_on).desc(), col(Subscription.id).desc())
        )
        .scalars()
        .first()
    )


def last_subscription(session: Session, shop_id: int, folded_make: str, kind: str) -> Subscription | None:
    """The newest one bought for the make, whether it still runs or not: its price is the best guess."""
    return (
        session.execute(
            select(Subscription)
            .where(
                col(Subscription.shop_id) == shop_id,
                _folded(Subscription.make) == folded_make,
                col(Subscription.kind) == kind,
            )
            .order_by(col(Subscription.bought_on).desc(), col(Subscription.id).desc())
        )
        .scalars()
        .first()
    )


def _folded(make: str) -> ColumnElement[str]:
    """A make for comparing: capitals, blanks and hyphens aside."""
    folded: ColumnElement[str] = func.lower(col(make))
    for sign in _LEFT_OUT_OF_MAKES:
        folded = func.replace(folded, sign, "")
    return folded
