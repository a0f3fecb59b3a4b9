"""What history rows tell, brought into the records: whether a row is new, is changed or goes back."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from kb.desk.context import Desk, lead_or_owner
from kb.desk.imports.history_drafts import concern_draft, end_of, event_draft, follow_ups_of, from_content
from kb.desk.imports.history_made import found_or_made, positions
from kb.desk.imports.history_updates import named_updates
from kb.intake.history.history_row import HistoryRow
from kb.nouns.concerns import ConcernDraft, ProgrammingEventDraft
from kb.records.store.bay import concerns as concern_store
from kb.records.store.bay import writing
from kb.records.store.bay.writing import Columns, Told
from kb.records.store.imports import history as on_file
from kb.records.store.imports import history_told as store
from kb.records.store.imports.history_told import RowOnFile
from kb.records.tables import ConcernRow, Outcome, ProgrammingEvent, Reflash, RepairOrder, VehicleRow

_TOLD_OF_A_MODULE = ("module", "calibration_before", "calibration_after")
GRADE_NOT_KNOWN = ""  # until the complaint is looked at (kb/desk/bay/advice/abouts.py)


@dataclass(frozen=True, slots=True)
class _Row:
    """A history row as it stands, with its drafts and the bulletin of its update."""

    at: RowOnFile
    said: HistoryRow
    update: int | None
    line: ConcernDraft
    sitting: ProgrammingEventDraft


@lead_or_owner
def tell(desk: Desk, concern_ids: Iterable[int], anew: Mapping[str, Columns]) -> set[int]:
    """Bring what a history made up to what its rows say, by their order; gives the vehicles.

    Vehicles, repair orders and concerns follow the first of their rows, and end as all of them say, where
    nobody edited them. `anew` has the identity hashes of the rows that say something new, each with
    its content before; a new one had none. Their reflashes are written over in place, and of outcomes what
    nobody edited; what was heard and other work of them is taken away and told anew.
    """
    concerns = set(concern_ids)
    vehicles = {place.vehicle_id for place in store.places_of(desk.session, concerns).values()}
    told = _rows_of(desk, vehicles)
    mine: dict[int, list[_Row]] = defaultdict(list)
    for one in told:
        if one.at.concern_id in concerns:
            mine[one.at.concern_id].append(one)
    _put_vehicles_and_orders(desk, told)
    _put_concerns(desk, mine)
    _put_candidates(desk, concerns, mine)
    changed = [one for one in told if one.at.identity_hash in anew]
    _put_outcomes(desk, changed, anew)
    _put_modules(desk, changed)
    _put_ways(desk, changed)
    _hear(desk, changed)
    store.keep_other_work(desk.session, {one.at.id: one.said.other_work for one in changed})
    _add_other_work(desk, told)
    return vehicles


def _rows_of(desk: Desk, vehicles: Iterable[int]) -> list[_Row]:
    standing = store.rows_of_vehicles(desk.session, vehicles)
    said = [from_content(one.content) for one in standing]
    updates = named_updates(desk, said)
    return [
        _Row(at, row, update, concern_draft(row, desk.shop.day_of(at.opened_at)), event_draft(row, update))
        for at, row, update in zip(standing, said, updates, strict=True)
    ]


def _put_vehicles_and_orders(desk: Desk, told: Sequence[_Row]) -> None:
    first = told[::-1]
    vehicles = {one.at.vehicle_id: writing.columns(VehicleRow, one.line.vehicle) for one in first}
    orders = {one.at.order_id: writing.columns(RepairOrder, one.line) for one in first}
    writing.put(desk.session, VehicleRow, vehicles, store.VEHICLE_UNTOUCHED)
    writing.put(desk.session, RepairOrder, orders, store.ORDER_UNTOUCHED)


def _put_concerns(desk: Desk, mine: Mapping[int, Sequence[_Row]]) -> None:
    """Days and codes as the first of their rows says, and the end as the one says that says most."""
    lines = {at: mine[at][0].line for at in store.untouched_concerns(desk.session, mine)}
    said = {at: writing.columns(ConcernRow, line) | _ended(desk, mine[at]) for at, line in lines.items()}
    writing.put(desk.session, ConcernRow, said)
    store.keep_codes(desk.session, {at: [one.code for one in line.codes] for at, line in lines.items()})
    codes = [(at, one) for at in sorted(lines) for one in lines[at].codes]
    found_or_made(
        desk,
        on_file.CODES,
        [(at, one.code) for at, one in codes],
        lambda new: writing.add_codes(desk.session, [codes[at] for at in new]),
    )


def _ended(desk: Desk, told: Sequence[_Row]) -> dict[str, Any]:
    """A concern closed before keeps the moment of that."""
    end = end_of([(one.said, one.update) for one in told], told[0].line.opened_on or desk.today)
    at = told[0].at.closed_at or desk.now
    return writing.ended(end.ending, end.cured_by, end.other_cause, end.on, at)


def _put_candidates(desk: Desk, concerns: set[int], mine: Mapping[int, Sequence[_Row]]) -> None:
    """The update of a row was a candidate; how well it matches is looked at afterwards."""
    named = {(at, one.update) for at, some in mine.items() for one in some if one.update is not None}
    store.keep_candidates(desk.session, concerns, named)
    known = on_file.on_file(desk.session, desk.shop.id, on_file.CANDIDATES, concerns)
    new = sorted(named - known.keys())
    more = {"grade": GRADE_NOT_KNOWN, "all_codes_named": False}
    rows = [
        {"concern_id": concern, "note_id": note, "position": position, **more}
        for (concern, note), position in zip(new, positions(new), strict=True)
    ]
    concern_store.add_candidates(desk.session, rows)


def _put_outcomes(desk: Desk, told: Iterable[_Row], anew: Mapping[str, Columns]) -> None:
    """What a row says now, where its outcome holds what the row said before; a road test since then stays."""
    changed = {at: one for one in told if (at := one.at.outcome_id) and anew[one.at.identity_hash]}
    stands = store.outcomes_as_they_stand(desk.session, changed)
    said: dict[int, Columns] = {}
    for at, one in changed.items():
        before = _of_outcome(from_content(anew[one.at.identity_hash]))
        said[at] = _unless_edited(stands[at], before, _of_outcome(one.said))
    writing.put(desk.session, Outcome, said)


def _of_outcome(said: HistoryRow) -> Columns:
    return writing.of_outcome(event_draft(said, None), said.odometer)


def _unless_edited(stands: Columns, before: Columns, now: Columns) -> Columns:
    return {name: said if stands[name] == before[name] else stands[name] for name, said in now.items()}


def _put_modules(desk: Desk, told: Iterable[_Row]) -> None:
    modules = {
        at: {name: getattr(one.sitting.modules[0], name) for name in _TOLD_OF_A_MODULE}
        for one in told
        if (at := one.at.reflash_id)
    }
    writing.put(desk.session, Reflash, modules)


def _put_ways(desk: Desk, told: Iterable[_Row]) -> None:
    """A sitting is of the way that the newest file says of it."""
    ways = {at: {"way": one.sitting.way.value} for one in told if (at := one.at.event_id)}
    writing.put(desk.session, ProgrammingEvent, ways)


def _hear(desk: Desk, told: Sequence[_Row]) -> None:
    store.drop_what_was_heard(desk.session, [one.at.id for one in told])
    heard: dict[int, list[Told]] = defaultdict(list)
    for one in told:
        for draft in follow_ups_of(one.said, desk.shop.currency):
            heard[one.at.import_id].append(Told(one.at.concern_id, draft, history_row_id=one.at.id))
    for import_id, some in heard.items():
        writing.add_follow_ups(desk.session, desk.stamp(import_id), some)


def _add_other_work(desk: Desk, told: Iterable[_Row]) -> None:
    """What was done beside, each once a sitting."""
    done = [
        (one.at.event_id, what, one.at.id) for one in told if one.at.event_id for what in one.said.other_work
    ]
    found_or_made(
        desk,
        on_file.OTHER_WORK,
        [(event, what) for event, what, _ in done],
        lambda new: writing.add_other_work(desk.session, [done[at] for at in new]),
    )
