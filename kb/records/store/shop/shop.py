"""The shop's row, its settings, the revision counters and the trail."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from sqlalchemy import func, select
from sqlmodel import Session, col

from kb.records import pending
from kb.records.tables import Revision, Shop, ShopSetting, Trail

TOPICS = ("notes", "notes_removed", "concerns", "lexicon", "outcomes", "settings", "pen")
"""What caches depend on. "pen" is the row that PostgreSQL writers lock first."""


def ensure_shop(
    session: Session, *, name: str, timezone: str, currency: str, is_demo: bool, now: datetime
) -> Shop:
    """The shop of this database, made with its counters on the first call."""
    shop = session.execute(select(Shop).order_by(col(Shop.id))).scalars().first()
    if shop is None:
        shop = Shop(name=name, timezone=timezone, currency=currency, is_demo=is_demo, created_at=now)
        session.add(shop)
        session.flush()
        session.add_all(Revision(shop_id=shop.id or 0, topic=topic) for topic in TOPICS)
        session.flush()
    return shop


def add_topic(session: Session, shop_id: int, topic: str) -> None:
    """One more counter, from 0, beside those that every shop has."""
    session.add(Revision(shop_id=shop_id, topic=topic))
    session.flush()


def append_trail(
    session: Session,
    shop_id: int,
    *,
    at: datetime,
    user_id: int | None,
    who: str,
    action: str,
    noun: str,
    noun_id: int | None,
    detail: Mapping[str, Any],
) -> None:
    entry = {
        "shop_id": shop_id,
        "at": at,
        "user_id": user_id,
        "who": who,
        "action": action,
        "noun": noun,
        "noun_id": noun_id,
        "detail": dict(detail),
    }
    pending.append_trail(session, entry)


def newest_trail_line(session: Session, shop_id: int) -> tuple[int, str] | None:
    """(id, moment) of the line written last; None in a trail without one."""
    own = select(col(Trail.id), col(Trail.at)).where(col(Trail.shop_id) == shop_id)
    found = session.execute(own.order_by(col(Trail.id).desc()).limit(1)).first()
    return (found.id, found.at.isoformat()) if found else None


def newest_trail_moment(session: Session, shop_id: int) -> datetime | None:
    """The latest moment of any line, whenever it was written."""
    own = select(func.max(col(Trail.at))).where(col(Trail.shop_id) == shop_id)
    return session.execute(own).scalar()


def has_trail_line(session: Session, shop_id: int, line_id: int, at: str) -> bool:
    """Whether the line of that id is of that moment: one that was put back goes on with other lines."""
    own = select(col(Trail.at)).where(col(Trail.shop_id) == shop_id, col(Trail.id) == line_id)
    found = session.execute(own).scalar()
    return found is not None and found.isoformat() == at


def trail(session: Session, shop_id: int, *, noun: str, noun_id: int) -> list[Trail]:
    found = session.execute(
        select(Trail)
        .where(col(Trail.shop_id) == shop_id, col(Trail.noun) == noun, col(Trail.noun_id) == noun_id)
        .order_by(col(Trail.id))
    )
    return list(found.scalars())


def setting_rows(session: Session, shop_id: int) -> dict[str, ShopSetting]:
    rows = session.execute(select(ShopSetting).where(col(ShopSetting.shop_id) == shop_id)).scalars()
    return {row.key: row for row in rows}


def save_setting(
    session: Session,
    shop_id: int,
    *,
    key: str,
    value: str,
    source_line: str,
    author: str,
    set_on: date,
) -> None:
    row = setting_rows(session, shop_id).get(key)
    if row is None:
        row = ShopSetting(shop_id=shop_id, key=key, value=value, author=author, set_on=set_on, version=0)
    row.value, row.source_line, row.author, row.set_on = value, source_line, author, set_on
    row.version += 1
    session.add(row)
    session.flush()
