"""What the story of a reflash is told from: what was done for a concern, and what was heard of it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from sqlalchemy import ColumnElement, Select, and_, bindparam, case, func, or_, select
from sqlmodel import Session, col

from kb.nouns.concerns import INSTALLED, Duplicated, FollowUpDraft, FollowUpResult, HowHeard, RoadTest
from kb.nouns.outcomes import Heard, Reflashed
from kb.records.store.imports.bulk import table_of
from kb.records.store.rows import columns
from kb.records.tables import ConcernRow, FollowUpRow, Outcome, ProgrammingEvent, Reflash, VehicleRow

_again, _then = table_of(Reflash).alias("again"), table_of(ProgrammingEvent).alias("then_again")
_SUPERSEDED_ON = (
    select(func.min(_then.c.performed_on))
    .select_from(_then.join(_again, _again.c.event_id == _then.c.id))
    .where(
        _then.c.vehicle_id == col(ProgrammingEvent.vehicle_id),
        _again.c.module == col(Reflash.module),
        _again.c.module != "",
        _again.c.result.in_(sorted(INSTALLED)),
        or_(
            _then.c.performed_on > col(Outcome.reflashed_on),
            and_(_then.c.performed_on == col(Outcome.reflashed_on), _again.c.id > col(Reflash.id)),
        ),
    )
    .correlate(table_of(ProgrammingEvent), table_of(Reflash), table_of(Outcome))
    .scalar_subquery()
)


def _of_installed(*columns: Any) -> Select[Any]:
    return (
        select(*columns)
        .select_from(Outcome)
        .join(Reflash, col(Reflash.id) == col(Outcome.reflash_id))
        .join(ProgrammingEvent, col(ProgrammingEvent.id) == col(Reflash.event_id))
        .join(VehicleRow, col(VehicleRow.id) == col(ProgrammingEvent.vehicle_id))
        .join(ConcernRow, col(ConcernRow.id) == col(Outcome.concern_id))
        .where(col(Outcome.shop_id) == bindparam("shop"), col(Outcome.installed).is_(True))
        .order_by(col(Outcome.reflashed_on), col(Outcome.id))
    )


# What is asked for after nearly every entry is put together once: that takes longer than the answer.
_REFLASHED = _of_installed(
    func.coalesce(col(Outcome.update_id), 0),
    *columns(Outcome, ("reflashed_on", "road_test", "duplicated_before", "other_work", "odometer")),
    col(ConcernRow.usual_gap_days),
    _SUPERSEDED_ON,
    case((col(ConcernRow.ending) == "other_cause", col(ConcernRow.closed_on)), else_=None),
    col(ProgrammingEvent.recorded_at),
    col(ProgrammingEvent.id),
    col(Outcome.concern_id),
    col(Outcome.id),
    col(VehicleRow.make),
    col(Reflash.module),
)
_REFLASHED_FOR = _REFLASHED.where(col(Outcome.concern_id).in_(bindparam("concerns", expanding=True)))
_CHOSEN = _of_installed(col(Outcome.id), col(Outcome.concern_id))
_SAID = ("result", "seen_on", "odometer", "how", "remark", "cost_minor", "day_known", "heard")
_HEARD = (
    select(
        *columns(FollowUpRow, ("concern_id", *_SAID, "recorded_at", "id", "by")),
        col(FollowUpRow.import_id).is_not(None),
        *columns(FollowUpRow, ("version", "at_visit")),
    )
    .join(ConcernRow, col(ConcernRow.id) == col(FollowUpRow.concern_id))
    .where(col(ConcernRow.shop_id) == bindparam("shop"))
    .order_by(col(FollowUpRow.seen_on), col(FollowUpRow.id))
)
_HEARD_OF = _HEARD.where(col(FollowUpRow.concern_id).in_(bindparam("concerns", expanding=True)))


def reflashed(
    session: Session, shop_id: int, concerns: Sequence[int] | None = None
) -> dict[int, list[Reflashed]]:
    """Installed reflashes of some concerns (of the whole shop), by concern, oldest first."""
    found: dict[int, list[Reflashed]] = defaultdict(list)
    for row in session.execute(*_asked(_REFLASHED, _REFLASHED_FOR, shop_id, concerns)):
        update_id, day, road_test, before, *facts = row
        one = Reflashed(update_id, day, RoadTest(road_test), Duplicated(before), *facts)
        found[one.concern_id].append(one)
    return found


def heard(session: Session, shop_id: int, concerns: Sequence[int] | None = None) -> dict[int, list[Heard]]:
    """What was ever heard of some concerns (of the whole shop), by concern, in the order of the days."""
    found: dict[int, list[Heard]] = defaultdict(list)
    for row in session.execute(*_asked(_HEARD, _HEARD_OF, shop_id, concerns)):
        concern_id, result, day, odometer, how, remark, cost, known, asked, *written = row
        said = FollowUpDraft(FollowUpResult(result), day, odometer, how, remark, cost, known, HowHeard(asked))
        found[concern_id].append(Heard(said, *written))
    return found


def chosen(session: Session, shop_id: int, *conditions: ColumnElement[bool]) -> list[tuple[int, int]]:
    """(outcome, concern) of installed reflashes, oldest first."""
    rows = session.execute(_CHOSEN.where(*conditions), {"shop": shop_id})
    return [(row[0], row[1]) for row in rows]


def _asked(
    everything: Select[Any], some: Select[Any], shop_id: int, concerns: Sequence[int] | None
) -> tuple[Select[Any], dict[str, Any]]:
    if concerns is None:
        return everything, {"shop": shop_id}
    return some, {"shop": shop_id, "concerns": concerns}
