"""How comebacks were heard: told unasked or found on asking, counted by the database, and how late."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import ColumnElement, distinct, exists, func, or_, select
from sqlmodel import Session, col

from kb.nouns.concerns import FAILED
from kb.nouns.outcomes import CountedAs, Standing
from kb.records.store.imports.bulk import table_of
from kb.records.tables import ConcernRow, FollowUpRow, Outcome


def plainly_heard(session: Session, wanted: tuple[int, date, int]) -> dict[str, int]:
    """Comebacks of vehicles past their window by how they were heard, as far as somebody said so.

    Only of concerns with one reflash, counted together with equal ones, and one failure: there it is beyond
    doubt which failure was heard how. `wanted`: the shop, the day of the report, the days of the window.
    """
    shop_id, as_of, window_days = wanted
    query = (
        select(col(FollowUpRow.heard), func.count(distinct(col(Outcome.id))))
        .join(Outcome, col(Outcome.concern_id) == col(FollowUpRow.concern_id))
        .where(
            *_marked(as_of),
            ~_among_several(),
            # "+ 0": SQLite would else read all outcomes of the shop, not those of the concern.
            col(Outcome.shop_id) + 0 == shop_id,
            col(Outcome.counted_as) == CountedAs.TOGETHER,
            col(Outcome.other_work).is_(False),
            col(Outcome.event_kind) == Standing.COMEBACK,
            col(Outcome.event_day) <= window_days,
            col(Outcome.reflashed_day) <= as_of.toordinal() - window_days,
        )
        .group_by(col(FollowUpRow.heard))
    )
    return {str(heard): int(count) for heard, count in session.execute(query)}


def not_plainly_heard(session: Session, as_of: date) -> list[int]:
    """The concerns that `plainly_heard` leaves out, of every shop on file.

    Asked for by themselves: as a condition on outcomes SQLite would read all of the shop's first.
    """
    concern = col(FollowUpRow.concern_id)
    return list(
        session.execute(select(concern).where(*_marked(as_of), _among_several()).distinct()).scalars()
    )


def _marked(as_of: date) -> tuple[ColumnElement[bool], ...]:
    """Comebacks of which somebody said whether they were asked for."""
    return (
        col(FollowUpRow.heard).in_(("unasked", "asked")),
        col(FollowUpRow.result) == "came_back",
        col(FollowUpRow.seen_on) <= as_of,
    )


def _among_several() -> ColumnElement[bool]:
    """Whether the concern of a follow-up tells of another failure, or has a reflash that is read alone or is
    one of two.
    """
    told, done = table_of(FollowUpRow), table_of(Outcome).alias("done")
    other, again = told.alias("other"), table_of(Outcome).alias("again")
    failed_too = exists().where(
        other.c.concern_id == told.c.concern_id, other.c.id != told.c.id, other.c.result.in_(FAILED)
    )
    alone = exists().where(done.c.concern_id == told.c.concern_id, done.c.counted_as == CountedAs.ONE_BY_ONE)
    reflashed_too = exists().where(
        done.c.concern_id == told.c.concern_id,
        again.c.concern_id == done.c.concern_id,
        again.c.id > done.c.id,
        done.c.counted_as == CountedAs.TOGETHER,
        again.c.counted_as == CountedAs.TOGETHER,
    )
    return or_(failed_too, alone, reflashed_too)


def comebacks_told(session: Session, shop_id: int, as_of: date) -> list[tuple[date, datetime]]:
    """Of comebacks that were not asked for, the day they were back and the moment they were written down.

    Left out: what an import brought, since its file says when it was true and not when it was heard.
    """
    query = (
        select(col(FollowUpRow.seen_on), col(FollowUpRow.recorded_at))
        .join(ConcernRow, col(ConcernRow.id) == col(FollowUpRow.concern_id))
        .where(
            col(FollowUpRow.heard) != "asked",
            col(FollowUpRow.result) == "came_back",
            col(FollowUpRow.day_known).is_(True),
            col(FollowUpRow.import_id).is_(None),
            col(FollowUpRow.seen_on) <= as_of,
            col(ConcernRow.shop_id) == shop_id,
        )
    )
    return [(day, at) for day, at in session.execute(query)]
