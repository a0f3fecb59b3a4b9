"""Taking a shop's history: which rows are new or changed, and the records that the new ones make."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from sqlmodel import SQLModel

from kb.desk.context import Desk, lead_or_owner
from kb.desk.imports import history_rows as made
from kb.desk.imports import history_updates
from kb.desk.imports.history_endings import endings
from kb.desk.imports.history_facts import from_content, to_content
from kb.desk.imports.import_notes import identity_hash
from kb.intake.history.history_row import HistoryRow
from kb.records.store.imports import bulk
from kb.records.store.imports import history as store
from kb.records.store.imports import imports as import_store
from kb.records.tables import (
    ConcernCandidate,
    ConcernCode,
    ConcernRow,
    FollowUpRow,
    OtherWork,
    Outcome,
    ProgrammingEvent,
    Reflash,
    RepairOrder,
    VehicleRow,
)

NOUN = "history row"
Key = TypeVar("Key", bound=Hashable)


@dataclass(frozen=True, slots=True)
class Change:
    """A concern's row as the import `told_by` took it before, and as a file tells it now."""

    concern_id: int
    told_by: int
    before: HistoryRow
    now: HistoryRow


@dataclass(frozen=True, slots=True)
class HistoryPlan:
    """What would happen to the rows of one batch."""

    new: tuple[HistoryRow, ...]
    changed: tuple[Change, ...]
    unchanged: int


@lead_or_owner
def plan_history(desk: Desk, rows: Sequence[HistoryRow]) -> HistoryPlan:
    """Compare a batch with what was taken before, by the identity of each row."""
    by_hash = {identity_hash(row.identity): row for row in rows}
    taken = import_store.last_taken(desk.session, desk.shop.id, NOUN, by_hash)
    new: list[HistoryRow] = []
    changed: list[Change] = []
    for key, row in by_hash.items():
        before = taken.get(key)
        if before is None:
            new.append(row)
        elif before.content != to_content(row):
            said = from_content(before.content or {})
            changed.append(Change(before.noun_id, before.import_id, said, row))
    return HistoryPlan(tuple(new), tuple(changed), len(rows) - len(new) - len(changed))


@lead_or_owner
def take_new(desk: Desk, import_id: int, rows: Sequence[HistoryRow]) -> set[int]:
    """Vehicles, repair orders, concerns, programming events, outcomes and follow-ups of new rows.

    Gives the concerns that have other rows too, on file already or in this batch.
    """
    vehicles = _vehicles(desk, import_id, rows)
    orders = _orders(desk, import_id, rows, vehicles)
    updates = history_updates.updates_of(desk, import_id, rows)
    concerns, grown = _concerns(desk, import_id, rows, orders, updates)
    reflashes = _reflashes(desk, import_id, rows, vehicles, updates)
    _candidates(desk, concerns, updates)
    outcomes = [
        made.outcome(desk, import_id, row, concern, reflash, note)
        for row, concern, reflash, note in zip(rows, concerns, reflashes, updates, strict=True)
        if reflash is not None
    ]
    bulk.add_rows(desk.session, Outcome, outcomes)
    pairs = list(zip(concerns, rows, strict=True))
    add_follow_ups(desk, import_id, pairs)
    remember(desk, import_id, pairs, "created")
    return grown | {concern for concern, rows_of_it in Counter(concerns).items() if rows_of_it > 1}


@lead_or_owner
def add_follow_ups(desk: Desk, import_id: int, pairs: Sequence[tuple[int, HistoryRow]]) -> None:
    """What was heard after each reflash, by concern."""
    heard = [one for concern, row in pairs for one in made.follow_ups(desk, import_id, row, concern)]
    bulk.add_rows(desk.session, FollowUpRow, heard)


@lead_or_owner
def remember(desk: Desk, import_id: int, pairs: Sequence[tuple[int, HistoryRow]], action: str) -> None:
    """Write down each row as it was taken, with the concern it belongs to."""
    rows = [
        {
            "shop_id": desk.shop.id,
            "import_id": import_id,
            "noun": NOUN,
            "noun_id": concern,
            "identity_hash": identity_hash(row.identity),
            "action": action,
            "version": 1,
            "content": to_content(row),
        }
        for concern, row in pairs
    ]
    import_store.remember(desk.session, rows)


def _vehicles(desk: Desk, import_id: int, rows: Sequence[HistoryRow]) -> list[int]:
    """One vehicle for each VIN; a row without a VIN makes its own unidentified one."""
    keys = [(row.vin, 0 if row.vin else at + 1) for at, row in enumerate(rows)]
    on_file = store.vehicles_by_vin(desk.session, desk.shop.id, [row.vin for row in rows])
    known = {(vin, 0): vehicle for vin, vehicle in on_file.items()}
    return _found_or_made(desk, VehicleRow, keys, known, lambda at: made.vehicle(desk, import_id, rows[at]))


def _orders(desk: Desk, import_id: int, rows: Sequence[HistoryRow], vehicles: Sequence[int]) -> list[int]:
    keys = [(vehicle, store.fold(row.ro_number)) for vehicle, row in zip(vehicles, rows, strict=True)]
    known = store.orders_of_vehicles(desk.session, vehicles)
    return _found_or_made(
        desk, RepairOrder, keys, known, lambda at: made.order(desk, import_id, rows[at], vehicles[at])
    )


def _concerns(
    desk: Desk,
    import_id: int,
    rows: Sequence[HistoryRow],
    orders: Sequence[int],
    updates: Sequence[int | None],
) -> tuple[list[int], set[int]]:
    """One concern for each line of a repair order and complaint, with its codes and how it ended."""
    keys = [
        (order, store.fold(row.line), store.fold(row.complaint))
        for order, row in zip(orders, rows, strict=True)
    ]
    known = store.concerns_of_orders(desk.session, orders)
    ends = endings(rows, keys, updates)
    concerns = _found_or_made(
        desk,
        ConcernRow,
        keys,
        known,
        lambda at: made.concern(desk, import_id, rows[at], orders[at], ends[keys[at]]),
    )
    fresh = {keys[at]: rows[at] for at in reversed(range(len(rows))) if keys[at] not in known}
    ids = dict(zip(keys, concerns, strict=True))
    codes = [one for key, row in fresh.items() for one in made.codes(row, ids[key])]
    bulk.add_rows(desk.session, ConcernCode, codes)
    return concerns, {known[key] for key in keys if key in known}


def _reflashes(
    desk: Desk,
    import_id: int,
    rows: Sequence[HistoryRow],
    vehicles: Sequence[int],
    updates: Sequence[int | None],
) -> list[int | None]:
    """The reflash of each row that has one; rows of one event, module and update share it."""
    places = [at for at, row in enumerate(rows) if row.reflashed_on is not None]
    event_keys = [made.event_key(rows[at], vehicles[at]) for at in places]
    known = store.events_of_vehicles(desk.session, [vehicles[at] for at in places])
    events = _found_or_made(
        desk,
        ProgrammingEvent,
        event_keys,
        known,
        lambda n: made.event(desk, import_id, rows[places[n]], vehicles[places[n]]),
    )
    _other_work(
        desk,
        [
            (event, rows[at])
            for event, key, at in zip(events, event_keys, places, strict=True)
            if key not in known
        ],
    )
    keys = [(e, made.module(rows[at]), updates[at]) for e, at in zip(events, places, strict=True)]
    on_file = store.reflashes_of_events(desk.session, events)
    positions = made.positions(keys)
    ids = _found_or_made(
        desk,
        Reflash,
        keys,
        on_file,
        lambda n: made.reflash(rows[places[n]], events[n], updates[places[n]], positions[n]),
    )
    found: list[int | None] = [None] * len(rows)
    for at, reflash in zip(places, ids, strict=True):
        found[at] = reflash
    return found


def _other_work(desk: Desk, pairs: Sequence[tuple[int, HistoryRow]]) -> None:
    done = dict.fromkeys((event, what) for event, row in pairs for what in row.other_work)
    bulk.add_rows(desk.session, OtherWork, [{"event_id": event, "what": what} for event, what in done])


def _candidates(desk: Desk, concerns: Sequence[int], updates: Sequence[int | None]) -> None:
    """The update of a row was a candidate; how well it matches is looked at afterwards."""
    pairs = {(c, u) for c, u in zip(concerns, updates, strict=True) if u is not None}
    pairs -= store.candidate_pairs(desk.session, concerns)
    bulk.add_rows(desk.session, ConcernCandidate, made.candidates(pairs))


def _found_or_made(
    desk: Desk,
    table: type[SQLModel],
    keys: Sequence[Key],
    known: Mapping[Key, int],
    make: Callable[[int], dict[str, Any]],
) -> list[int]:
    """The id of every key: known already, or of a row that `make` makes from the first place with the key."""
    first: dict[Key, int] = {}
    for at, key in enumerate(keys):
        if key not in known:
            first.setdefault(key, at)
    ids = bulk.insert_rows(desk.session, table, [make(at) for at in first.values()])
    every = {**known, **dict(zip(first, ids, strict=True))}
    return [every[key] for key in keys]
