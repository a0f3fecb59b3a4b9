"""What history rows make: the same drafts as a person's, written by the same hand, a batch at a time."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

from kb.desk.context import Desk, lead_or_owner
from kb.desk.imports.history_drafts import (
    concern_draft,
    event_draft,
    from_content,
)
from kb.desk.imports.history_parts import (
    Row,
    add_codes,
    add_other_work,
    add_what_was_heard,
    close,
    found_or_made,
    offer,
    positions,
    remember,
)
from kb.desk.imports.history_updates import named_updates, updates_of
from kb.intake.history.history_row import HistoryRow
from kb.nouns.concerns import ConcernDraft
from kb.records.store.bay import writing
from kb.records.store.imports import history as on_file
from kb.records.store.imports import history_told as store
from kb.records.store.imports.history_told import RowOnFile
from kb.records.tables import ConcernRow, Outcome, Reflash, RepairOrder, VehicleRow


@lead_or_owner
def tell_new(desk: Desk, import_id: int, rows: Sequence[HistoryRow]) -> tuple[set[int], set[int]]:
    """Vehicles, repair orders, concerns, sittings, outcomes and follow-ups of rows not taken before.

    Gives the vehicles, whose outcomes are to be renewed, and the concerns that were on file already.
    """
    updates = updates_of(desk, import_id, rows)
    lines = [concern_draft(row, desk.today) for row in rows]
    vehicles, concerns, grown = _concerns(desk, import_id, lines)
    ids = remember(desk, import_id, list(zip(concerns, rows, strict=True)), "created")
    told = [
        Row(row_id, row, update, line, event_draft(row, update), concern)
        for row_id, row, update, line, concern in zip(ids, rows, updates, lines, concerns, strict=True)
    ]
    told = _programmed(desk, import_id, told, vehicles)
    reflashed = [one for one in told if one.reflash_id]
    writing.add_outcomes(desk.session, desk.stamp(import_id), [one.done() for one in reflashed])
    offer(desk, told)
    add_what_was_heard(desk, import_id, told)
    add_other_work(desk, told)
    close(desk, [one for one in told if one.concern_id not in grown], anew=False)
    return set(vehicles), grown


@lead_or_owner
def tell_again(desk: Desk, concern_ids: Iterable[int], anew: Collection[str]) -> set[int]:
    """Bring what a history made up to what its rows say now, by their order; gives the vehicles.

    Vehicles, repair orders and concerns follow the first of their rows, and end as all of them say, where
    nobody edited them. Of the rows with the identity hashes `anew` reflashes and outcomes are written over in
    place; what was heard and other work of them is taken away and told anew.
    """
    concerns = set(concern_ids)
    vehicles = store.vehicles_of(desk.session, concerns)
    standing = store.rows_of_vehicles(desk.session, vehicles)
    told = _as_rows(desk, standing)
    pairs = list(zip(standing, told, strict=True))
    _put_first(desk, pairs, concerns)
    mine = [one for one in told if one.concern_id in concerns]
    named = {(one.concern_id, one.update) for one in mine if one.update is not None}
    store.keep_candidates(desk.session, concerns, named)
    close(desk, mine, anew=True)
    changed: dict[int, list[Row]] = defaultdict(list)
    for was, one in pairs:
        if was.identity_hash in anew:
            changed[was.import_id].append(one)
    for import_id, some in changed.items():
        _put_outcomes(desk, some)
        store.drop_what_was_heard(desk.session, [one.id for one in some])
        store.keep_other_work(desk.session, {one.id: one.said.other_work for one in some})
        add_what_was_heard(desk, import_id, some)
    add_other_work(desk, told)
    return vehicles


def _concerns(
    desk: Desk, import_id: int, lines: Sequence[ConcernDraft]
) -> tuple[list[int], list[int], set[int]]:
    """The vehicle and the concern of each line, and those concerns that were on file.

    One vehicle for each VIN; a line without one makes its own unidentified vehicle. One concern for each line
    of a repair order and complaint.
    """
    stamp, session = desk.stamp(import_id), desk.session
    vins = [(one.vehicle.vin or f"without VIN {at}",) for at, one in enumerate(lines)]
    vehicles, _ = found_or_made(
        desk,
        on_file.VEHICLES,
        vins,
        lambda new: writing.add_vehicles(session, stamp, [lines[at].vehicle for at in new]),
    )
    orders, _ = found_or_made(
        desk,
        on_file.ORDERS,
        [(vehicle, one.ro_number) for vehicle, one in zip(vehicles, lines, strict=True)],
        lambda new: writing.add_orders(session, stamp, [(vehicles[at], lines[at]) for at in new]),
    )
    concerns, known = found_or_made(
        desk,
        on_file.CONCERNS,
        [(order, one.line, one.complaint) for order, one in zip(orders, lines, strict=True)],
        lambda new: writing.add_concerns(session, stamp, [(orders[at], lines[at]) for at in new]),
    )
    return vehicles, concerns, known


def _programmed(desk: Desk, import_id: int, told: Sequence[Row], vehicles: Sequence[int]) -> list[Row]:
    """The rows with the reflash of each that has one.

    Rows of one vehicle, event name and day are one sitting; those of one module and update in it one reflash.
    """
    session, stamp = desk.session, desk.stamp(import_id)
    rows = [(vehicle, one) for vehicle, one in zip(vehicles, told, strict=True) if one.said.reflashed_on]
    events, _ = found_or_made(
        desk,
        on_file.EVENTS,
        [(vehicle, one.sitting.remark, one.sitting.performed_on) for vehicle, one in rows],
        lambda new: writing.add_events(session, stamp, [(rows[at][0], rows[at][1].sitting) for at in new]),
    )
    modules = [one.module for _, one in rows]
    keys = [(event, one.module, one.update_id) for event, one in zip(events, modules, strict=True)]
    at_place = positions(keys)
    reflashes, _ = found_or_made(
        desk,
        on_file.REFLASHES,
        keys,
        lambda new: writing.add_reflashes(session, [(events[at], at_place[at], modules[at]) for at in new]),
    )
    ids = {one.id: both for (_, one), *both in zip(rows, events, reflashes, strict=True)}
    none = (None, None)
    return [
        replace(one, event_id=event, reflash_id=reflash)
        for one in told
        for event, reflash in [ids.get(one.id, none)]
    ]


def _as_rows(desk: Desk, standing: Sequence[RowOnFile]) -> list[Row]:
    said = [from_content(one.content) for one in standing]
    updates = named_updates(desk, said)
    return [
        Row(
            was.id,
            row,
            update,
            concern_draft(row, desk.shop.day_of(was.opened_at)),
            event_draft(row, update),
            was.concern_id,
            was.event_id,
            was.reflash_id,
            was.outcome_id,
        )
        for was, row, update in zip(standing, said, updates, strict=True)
    ]


def _put_first(desk: Desk, pairs: Sequence[tuple[RowOnFile, Row]], concerns: Collection[int]) -> None:
    """Vehicles, repair orders and these concerns as the first of their rows says."""
    session, first = desk.session, list(reversed(pairs))
    vehicles = {was.vehicle_id: writing.columns(one.line.vehicle, writing.VEHICLE) for was, one in first}
    orders = {was.order_id: writing.columns(one.line, ("opened_on", "odometer")) for was, one in first}
    lines = {one.concern_id: one.line for _, one in first if one.concern_id in concerns}
    scanned = {at: writing.columns(line, ("opened_on", "codes_scanned")) for at, line in lines.items()}
    writing.put(session, VehicleRow, vehicles, store.VEHICLE_UNTOUCHED)
    writing.put(session, RepairOrder, orders, store.ORDER_UNTOUCHED)
    writing.put(session, ConcernRow, scanned, store.CONCERN_UNTOUCHED)
    untouched = store.untouched_concerns(session, lines)
    store.keep_codes(session, {at: [one.code for one in lines[at].codes] for at in untouched})
    add_codes(desk, [(at, lines[at].codes) for at in sorted(untouched)])


def _put_outcomes(desk: Desk, told: Iterable[Row]) -> None:
    done = [one for one in told if one.reflash_id]
    outcomes = {one.outcome_id or 0: one.done().columns() for one in done}
    modules = {one.reflash_id or 0: writing.columns(one.module, writing.REFLASH) for one in done}
    writing.put(desk.session, Outcome, outcomes)
    writing.put(desk.session, Reflash, modules)
