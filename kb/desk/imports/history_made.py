"""What history rows are written on: vehicles, repair orders, concerns, sittings, a batch at a time.

They are found again, or made of the same drafts as a person's and written by the same hand.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence

from kb.desk.context import Desk, lead_or_owner
from kb.desk.imports.history_drafts import concern_draft, event_draft, to_content
from kb.desk.imports.history_updates import updates_of
from kb.intake.history.history_row import HistoryRow
from kb.nouns.concerns import ConcernDraft, ProgrammingEventDraft
from kb.records.store.bay import writing
from kb.records.store.bay.writing import Done
from kb.records.store.imports import history as store
from kb.records.store.imports import imports as import_store
from kb.records.store.imports.history import Key, NaturalKey
from kb.records.store.imports.history_told import HISTORY_ROW
from kb.records.store.imports.imports import Took

MakeNew = Callable[[list[int]], list[int]]
"""Makes what stands at these places of a list; gives the ids."""


@lead_or_owner
def make_places(desk: Desk, import_id: int, rows: Sequence[HistoryRow]) -> set[int]:
    """Concerns and outcomes for rows not taken before, which are still to be told; gives the concerns."""
    lines = [concern_draft(row, desk.today) for row in rows]
    vehicles, concerns = _concerns(desk, import_id, lines)
    add_rows(desk, import_id, rows, list(zip(vehicles, concerns, strict=True)))
    return set(concerns)


@lead_or_owner
def add_rows(
    desk: Desk, import_id: int, rows: Sequence[HistoryRow], places: Sequence[tuple[int, int]]
) -> list[int]:
    """Rows and their outcomes, each of the (vehicle, concern) at its place; gives the ids of the rows."""
    updates = updates_of(desk, import_id, rows)
    concerns = [concern for _, concern in places]
    ids = remember(desk, import_id, list(zip(concerns, rows, strict=True)), "created")
    sittings = [event_draft(row, update) for row, update in zip(rows, updates, strict=True)]
    done = [at for at, row in enumerate(rows) if row.reflashed_on]
    reflashes = _reflashes(desk, import_id, [(places[at][0], sittings[at]) for at in done])
    outcomes = [
        Done(reflash, concerns[at], sittings[at].modules[0], sittings[at], rows[at].odometer, ids[at])
        for at, reflash in zip(done, reflashes, strict=True)
    ]
    writing.add_outcomes(desk.session, desk.stamp(import_id), outcomes)
    return ids


@lead_or_owner
def remember(desk: Desk, import_id: int, told: Iterable[tuple[int, HistoryRow]], action: str) -> list[int]:
    """Write down each row as it was taken, with the concern it belongs to; gives the ids."""
    took = [Took(concern, row.identity, action, content=to_content(row)) for concern, row in told]
    return import_store.remember(desk.session, desk.shop.id, import_id, HISTORY_ROW, took)


@lead_or_owner
def found_or_made(desk: Desk, by: NaturalKey, values: Iterable[Key], make: MakeNew) -> list[int]:
    """The id of every key; `make` makes those not on file, each from its first place."""
    keys = [by.of(one) for one in values]
    known = store.on_file(desk.session, desk.shop.id, by, [owner for owner, *_ in keys])
    first: dict[Key, int] = {}
    for at, key in enumerate(keys):
        if key not in known:
            first.setdefault(key, at)
    ids = {**known, **dict(zip(first, make(list(first.values())), strict=True))}
    return [ids[key] for key in keys]


def positions(keys: Iterable[Key]) -> list[int]:
    """The place of each key among those of its owner, from 1."""
    places: dict[int, dict[Key, int]] = defaultdict(dict)
    return [places[key[0]].setdefault(key, len(places[key[0]]) + 1) for key in keys]


def _concerns(desk: Desk, import_id: int, lines: Sequence[ConcernDraft]) -> tuple[list[int], list[int]]:
    """The vehicle and the concern of each line.

    One vehicle for each VIN; a line without one makes its own unidentified vehicle. One concern for each line
    of a repair order and complaint.
    """
    stamp, session = desk.stamp(import_id), desk.session
    vehicles = found_or_made(
        desk,
        store.VEHICLES,
        [(one.vehicle.vin or f"without VIN {at}",) for at, one in enumerate(lines)],
        lambda new: writing.add_vehicles(session, stamp, [lines[at].vehicle for at in new]),
    )
    orders = found_or_made(
        desk,
        store.ORDERS,
        [(vehicle, one.ro_number) for vehicle, one in zip(vehicles, lines, strict=True)],
        lambda new: writing.add_orders(session, stamp, [(vehicles[at], lines[at]) for at in new]),
    )
    concerns = found_or_made(
        desk,
        store.CONCERNS,
        [(order, one.line, one.complaint) for order, one in zip(orders, lines, strict=True)],
        lambda new: writing.add_concerns(session, stamp, [(orders[at], lines[at]) for at in new]),
    )
    return vehicles, concerns


def _reflashes(desk: Desk, import_id: int, sat: Sequence[tuple[int, ProgrammingEventDraft]]) -> list[int]:
    """The reflash of each (vehicle, sitting).

    Those of one vehicle, event name, day and way are one sitting; of one module and update in it one reflash.
    """
    session, stamp = desk.session, desk.stamp(import_id)
    events = found_or_made(
        desk,
        store.EVENTS,
        [(vehicle, one.remark, one.performed_on, one.way.value) for vehicle, one in sat],
        lambda new: writing.add_events(session, stamp, [sat[at] for at in new]),
    )
    modules = [one.modules[0] for _, one in sat]
    keys = [(event, one.module, one.update_id) for event, one in zip(events, modules, strict=True)]
    places = positions(keys)
    return found_or_made(
        desk,
        store.REFLASHES,
        keys,
        lambda new: writing.add_reflashes(session, [(events[at], places[at], modules[at]) for at in new]),
    )
