"""Sign-offs and people's own access, and what people programmed before."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date

from sqlalchemy import bindparam, func, select
from sqlmodel import Session, col

from kb.nouns.concerns import ReflashResult
from kb.nouns.shop.sign_offs import ModuleProgrammed
from kb.records.store.rows import columns, rows_where
from kb.records.store.shop.work_seen import module_replaced
from kb.records.tables import (
    AccessRow,
    Gate,
    Outcome,
    ProgrammingEvent,
    Reflash,
    SignOffRow,
    User,
    VehicleRow,
)


def people_and_sign_offs(session: Session, shop_id: int) -> list[tuple[User, SignOffRow | None]]:
    """Everybody with an account, by name, with each of their sign-offs, ended ones too."""
    return [(user, row) for user, row in session.execute(_PEOPLE, {"shop": shop_id})]


_PEOPLE = (
    select(User, SignOffRow)
    .join(SignOffRow, col(SignOffRow.user_id) == col(User.id), isouter=True)
    .where(col(User.shop_id) == bindparam("shop"))
    .order_by(col(User.name), col(SignOffRow.id))
)


def running_of(session: Session, user_id: int) -> list[SignOffRow]:
    """A person's sign-offs that nobody ended."""
    wanted = (col(SignOffRow.user_id) == user_id, col(SignOffRow.ended_on).is_(None))
    return rows_where(session, SignOffRow, *wanted)


def accesses(session: Session, shop_id: int) -> list[tuple[User, AccessRow]]:
    """Credentials and registrations that were not taken out, by person."""
    wanted = select(User, AccessRow).join(AccessRow, col(AccessRow.user_id) == col(User.id))
    wanted = wanted.where(col(AccessRow.shop_id) == shop_id, col(AccessRow.gone_on).is_(None))
    return [(user, row) for user, row in session.execute(wanted.order_by(col(User.name), col(AccessRow.id)))]


def programmed_by(
    session: Session,
    shop_id: int,
    people: Collection[str],
    *,
    before: int | None = None,
    since: date | None = None,
) -> list[ModuleProgrammed]:
    """What these people programmed here, each module once, oldest first: before an event, since a day.

    A look-up that found nothing newer is no programming, and what a history brought names nobody.
    """
    event = ProgrammingEvent
    wanted = _DONE.where(col(event.shop_id) == shop_id, col(event.technician).in_(sorted(people)))
    if before is not None:
        wanted = wanted.where(col(event.id) < before)
    if since is not None:
        wanted = wanted.where(col(event.performed_on) >= since)
    return [ModuleProgrammed(*row) for row in session.execute(wanted)]


_OF_EACH = (
    *columns(ProgrammingEvent, ("technician", "id", "performed_on")),
    col(VehicleRow.make),
    col(Reflash.module),
)
_DONE = (
    select(*_OF_EACH, func.max(col(Gate.id)).is_not(None))
    .join(Reflash, col(Reflash.event_id) == col(ProgrammingEvent.id))
    .join(VehicleRow, col(VehicleRow.id) == col(ProgrammingEvent.vehicle_id))
    .join(Outcome, col(Outcome.reflash_id) == col(Reflash.id), isouter=True)
    .join(Gate, module_replaced(col(Outcome.concern_id)), isouter=True)
    .where(col(Reflash.result) != ReflashResult.NOTHING_NEWER.value)
    .group_by(*_OF_EACH, col(Reflash.id))
    .order_by(col(ProgrammingEvent.id), col(Reflash.id))
)
