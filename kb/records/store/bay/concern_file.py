"""The gather of everything on file about one concern: as many statements whatever is in it, each put together
once, since building them took longer than the answers.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any, Generic, TypeVar

from sqlalchemy import bindparam, case, func, select
from sqlmodel import Session, col

from kb.nouns.bay.concern_file import ConcernFile, ref_of
from kb.nouns.bay.customer_word import Authorized
from kb.nouns.bay.on_file import (
    Decided,
    Found,
    GateSaid,
    Lift,
    OfferedThen,
    Paid,
    Programmed,
    Tick,
)
from kb.nouns.concerns import CodesScanned, FindingResult, ReflashResult
from kb.nouns.copying import copied
from kb.nouns.outcomes import CountedAs
from kb.nouns.recalls import RecallResult, RecallSaid
from kb.nouns.shop.ways import Way
from kb.nouns.vehicles import LookUp
from kb.records.store.bay import clocks, readings
from kb.records.store.bay.other_concerns import (
    codes_of,
    joined,
    next_up_of,
    other_concern,
    vehicle_of,
    waiting_of,
)
from kb.records.store.outcomes import stories
from kb.records.store.rows import columns
from kb.records.tables import (
    Authorization,
    ConcernCandidate,
    ConcernRow,
    DecisionRow,
    FindingRow,
    Gate,
    LookUpRow,
    OtherWork,
    Outcome,
    Payment,
    PrepTick,
    ProgrammingEvent,
    RecallLookUp,
    Reflash,
    RepairOrder,
    StopLift,
    VehicleRow,
)

Value = TypeVar("Value")
Called = Callable[[Iterable[int | None]], Mapping[int, tuple[str, str]]]
"""Number and title of updates by id."""


@dataclass(frozen=True, slots=True)
class _Part(Generic[Value]):
    """One kind of thing on file: how it is asked for, and what a row becomes."""

    asked: Any
    make: Callable[..., Value]

    def read(self, session: Session, owner: Mapping[str, int]) -> tuple[Value, ...]:
        return tuple(self.make(*row) for row in session.execute(self.asked, owner))


def _of(owner: str, table: Any, make: Callable[..., Value], kind: type | None = None) -> _Part[Value]:
    """A table's rows of one owner, by id: the columns that the fields of a value name."""
    names = [one.name for one in fields(kind or make)]  # type: ignore[arg-type]  # a dataclass
    asked = select(*columns(table, names)).where(getattr(table, owner) == bindparam("owner"))
    return _Part(asked.order_by(table.id), make)


def _found(check_id: int, result: str, *more: Any) -> Found:
    return Found(check_id, FindingResult(result), *more)


_READ = _Part(readings.OF_CONCERN, readings.reading)
_LOOK_UPS = _of("vehicle_id", LookUpRow, LookUp)
_GATES = _of("concern_id", Gate, GateSaid)
_FOUND = _of("concern_id", FindingRow, _found, Found)
_LIFTS = _of("concern_id", StopLift, Lift)
_TICKS = _of("concern_id", PrepTick, Tick)
_AUTHORIZED = _of("repair_order_id", Authorization, Authorized)
_PAID = _of("repair_order_id", Payment, Paid)
_OFFERED = _Part(
    select(*columns(ConcernCandidate, ("note_id", "grade", "all_codes_named", "about")))
    .where(col(ConcernCandidate.concern_id) == bindparam("owner"))
    .order_by(col(ConcernCandidate.position)),
    OfferedThen,
)
_DECIDED = _Part(
    select(
        *columns(DecisionRow, ("id", "at", "by", "verdict")),
        func.coalesce(col(DecisionRow.advice)["sentence"].as_string(), ""),
        *columns(DecisionRow, ("did", "followed", "why_not")),
    )
    .where(col(DecisionRow.concern_id) == bindparam("owner"))
    .order_by(col(DecisionRow.id)),
    Decided,
)
_SAID_OF_RECALLS = _Part(
    select(
        *columns(RecallLookUp, ("number", "result", "by", "on")),
        case((col(ConcernRow.id) == bindparam("concern"), col(RecallLookUp.touches)), else_=None),
    )
    .join(ConcernRow, col(ConcernRow.id) == col(RecallLookUp.concern_id))
    .where(col(ConcernRow.repair_order_id) == bindparam("owner"))
    .order_by(col(RecallLookUp.at), col(RecallLookUp.id)),
    lambda number, result, *more: RecallSaid(number, RecallResult(result), *more),
)
_PROGRAMMED = (
    select(Reflash, ProgrammingEvent, Outcome, col(OtherWork.what))
    .join(ProgrammingEvent, col(ProgrammingEvent.id) == col(Reflash.event_id))
    .outerjoin(Outcome, col(Outcome.reflash_id) == col(Reflash.id))
    .outerjoin(OtherWork, col(OtherWork.event_id) == col(ProgrammingEvent.id))
    .where(col(ProgrammingEvent.vehicle_id) == bindparam("vehicle"))
    .order_by(col(ProgrammingEvent.performed_on), col(Reflash.id), col(Outcome.id), col(OtherWork.id))
)
_ITS_VEHICLE = (
    select(col(RepairOrder.vehicle_id))
    .join(ConcernRow, col(ConcernRow.repair_order_id) == col(RepairOrder.id))
    .where(col(ConcernRow.id) == bindparam("concern"), col(ConcernRow.shop_id) == bindparam("shop"))
    .scalar_subquery()
)
_OF_VEHICLE = joined().where(col(VehicleRow.id) == _ITS_VEHICLE).order_by(col(ConcernRow.id))


def concern_file(session: Session, shop_id: int, concern_id: int, called: Called) -> ConcernFile | None:
    """None where the shop has no such concern. `called` names the updates that were programmed."""
    asked = {"concern": concern_id, "shop": shop_id}
    rows = [(row[0], row[1], row[2]) for row in session.execute(_OF_VEHICLE, asked)]
    own = next((row for row in rows if row[0].id == concern_id), None)
    if own is None:
        return None
    row, order, vehicle = own
    of_concern, of_order, of_vehicle = ({"owner": one} for one in (concern_id, order.id, order.vehicle_id))
    ids = [one.id for one, *_ in rows]
    codes = codes_of(session, ids)
    programmed = _programmed(session, order.vehicle_id, called)
    return copied(
        ConcernFile,
        row,
        ref=ref_of(order.number, row.line),
        ro_number=order.number,
        odometer=order.odometer,
        phone=order.phone,
        vehicle_id=order.vehicle_id,
        vehicle_version=vehicle.version,
        vehicle=vehicle_of(vehicle),
        **_of_row(row),
        codes=codes.get(concern_id, ()),
        read=_READ.read(session, of_concern),
        look_ups=_LOOK_UPS.read(session, of_vehicle),
        gates_said=_GATES.read(session, of_concern),
        found=_FOUND.read(session, of_concern),
        recalls_said=_SAID_OF_RECALLS.read(session, of_order | {"concern": concern_id}),
        lifts=_LIFTS.read(session, of_concern),
        ticks=_TICKS.read(session, of_concern),
        offered=_OFFERED.read(session, of_concern),
        decisions=_DECIDED.read(session, of_concern),
        authorizations=_AUTHORIZED.read(session, of_order),
        payments=_PAID.read(session, of_order),
        programmed=programmed,
        reflashed=_by_concern(stories.reflashed(session, shop_id, ids)) if programmed else {},
        heard=_by_concern(stories.heard(session, shop_id, ids)),
        clocks=tuple(clocks.running_on(session, [concern_id])) if row.state == "open" else (),
        visits=tuple(other_concern(*one, codes.get(one[0].id or 0, ())) for one in rows if one is not own),
    )


def _of_row(row: ConcernRow) -> dict[str, Any]:
    """What a value has otherwise than the columns of its name."""
    scanned = CodesScanned(row.codes_scanned)
    said = {"waiting": waiting_of(row), "next_up": next_up_of(row)}
    return {"conditions": tuple(row.conditions), "codes_scanned": scanned} | said


def _by_concern(found: Mapping[int, Sequence[Value]]) -> dict[int, tuple[Value, ...]]:
    return {concern_id: tuple(some) for concern_id, some in found.items()}


def _programmed(session: Session, vehicle_id: int, called: Called) -> tuple[Programmed, ...]:
    """A module comes once for each other work of its sitting, or once without any."""
    done: dict[tuple[int | None, int | None], tuple[Reflash, ProgrammingEvent, Outcome | None]] = {}
    work: dict[int | None, dict[str, None]] = defaultdict(dict)
    for row, event, outcome, what in session.execute(_PROGRAMMED, {"vehicle": vehicle_id}):
        done[row.id, outcome.id if outcome else None] = row, event, outcome
        work[event.id] |= {what: None} if what is not None else {}
    names = called([row.update_id for row, *_ in done.values()])
    return tuple(
        copied(
            Programmed,
            row,
            result=ReflashResult(row.result),
            performed_on=event.performed_on,
            recorded_at=event.recorded_at,
            reflash_id=row.id,
            technician=event.technician,
            way=Way(event.way),
            update_number=names.get(row.update_id or 0, ("", ""))[0],
            other_work=tuple(work[event.id]),
            **(_for_concern(outcome) if outcome is not None else _FOR_NONE),
        )
        for row, event, outcome in done.values()
    )


_OF_OUTCOME = ("concern_id", "installed", "duplicated_before", "road_test", "event_kind", "event_day")
_FOR_NONE = {
    one.name: one.default
    for one in fields(Programmed)
    if one.name in (*_OF_OUTCOME, "outcome_id", "reports_count")
}
"""What is said of a module that was programmed for no concern."""


def _for_concern(outcome: Outcome) -> dict[str, Any]:
    counts = outcome.counted_as != CountedAs.WITH_ANOTHER
    told = {name: getattr(outcome, name) for name in _OF_OUTCOME}
    return told | {"outcome_id": outcome.id, "reports_count": counts}
