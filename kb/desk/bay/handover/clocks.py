"""Clocks of what a vehicle waits out: started with a tap, ended with one or by what they waited for."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from kb.desk.bay.concern import concerns as concerns_desk
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.handover import waiting
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import NotFound
from kb.nouns.bay.clocks import Clock, ClockAsked, ClockKind, ClockView
from kb.nouns.bay.concern_file import ConcernFile, ConcernLine
from kb.nouns.bay.release import Release
from kb.nouns.bay.waiting import WaitingFor
from kb.prep.clocks import as_they_end, asked_by, ends_at, kind_of_wait, miles_of, until_said, view_of
from kb.records.store.bay import clocks as store
from kb.records.store.rows import row_of_shop
from kb.records.tables import ClockRow


@anyone_in_the_shop
def start_clock(desk: Desk, concern_id: int, asked: ClockAsked) -> ClockView:
    """Start one, in place of the same that runs. A cold soak is what the concern waits for from then on,
    unless it waits for something already; until when, only the clock says.

    Raises Conflict for a closed concern, BadInput for a length or time that cannot be.
    """
    held = concerns_desk.still_open(desk, concern_id, "a clock runs on it")
    if asked.kind is ClockKind.CHECK:
        asked = replace(asked, kind=kind_of_wait(asked.minutes))
    remark = waiting.remark_of(asked.remark)
    for one in store.running_on(desk.session, [concern_id]):
        if (one.kind, one.remark) == (asked.kind, remark):
            store.end(desk.session, concern_id, desk.actor.name, desk.now, clock_id=one.id)
    miles, odometer = miles_of(asked), asked.odometer or held.repair_order.odometer
    clock = store.start(
        desk.session,
        shop_id=desk.shop.id,
        concern_id=concern_id,
        kind=asked.kind.value,
        remark=remark,
        started_at=desk.now,
        started_by=desk.actor.name,
        ends_at=ends_at(asked, desk.now, desk.shop.zone),
        ends_at_odometer=odometer + miles if odometer and miles else None,
        miles=miles,
        ends_with=asked.ends_with,
    )
    if asked.kind is ClockKind.SOAK and not held.concern.waiting_for:
        waiting.wait_for(desk, concern_id, WaitingFor.SOAK)
    view = _view(desk, clock)
    desk.note_down("started clock", "concern", concern_id, clock=view.said)
    return view


@anyone_in_the_shop
def end_clock(desk: Desk, clock_id: int) -> int:
    """It is over, or was not needed; gives the concern. Raises NotFound."""
    row = row_of_shop(desk.session, ClockRow, desk.shop.id, clock_id)
    if row is None:
        raise NotFound(f"There is no clock {clock_id}.")
    if row.ended_at is None:
        _end(desk, row.concern_id, [clock_id])
    return row.concern_id


@anyone_in_the_shop
def answered(desk: Desk, concern_id: int, keys: Collection[str]) -> None:
    """End the clocks that these checks or lines waited for: they have their answer."""
    running = store.running_on(desk.session, [concern_id]) if keys else []
    _end(desk, concern_id, [one.id for one in running if one.ends_with in keys])


@anyone_in_the_shop
def running_clocks(desk: Desk) -> tuple[ClockView, ...]:
    """Those of every open concern, the ones that are over first."""
    return _views(desk, store.running(desk.session, desk.shop.id))


@anyone_in_the_shop
def clocks_on(desk: Desk, file: ConcernFile) -> tuple[ClockView, ...]:
    """Those that run on one concern, the ones that are over first."""
    return _views(desk, file.clocks)


@anyone_in_the_shop
def with_clocks(desk: Desk, lines: Sequence[ConcernLine]) -> tuple[ConcernLine, ...]:
    """The same lines with the clocks that run on them, in the same order."""
    found: dict[int, list[ClockView]] = {}
    for one in _views(desk, store.running_on(desk.session, [line.id for line in lines if not line.ending])):
        found.setdefault(one.concern_id, []).append(one)
    return tuple(replace(line, clocks=tuple(found.get(line.id, ()))) for line in lines)


@anyone_in_the_shop
def overdue_first(desk: Desk, lines: Sequence[ConcernLine]) -> tuple[ConcernLine, ...]:
    """The same with their clocks; those on which one is over come first, the longest ahead."""
    told = with_clocks(desk, lines)
    over = {
        line.id: line.clocks[0].ends_at or desk.now for line in told if line.clocks and line.clocks[0].over
    }
    return tuple(sorted(told, key=lambda line: (line.id not in over, over.get(line.id, desk.now))))


@anyone_in_the_shop
def tag_of(desk: Desk, concern_id: int, clock_id: int) -> tuple[ClockView, str]:
    """What hangs on the wheel while a clock runs, and until when. Raises NotFound for one that forbids
    nothing, or runs no longer.
    """
    for one in read_concern(desk, concern_id).clocks:
        view = _view(desk, one)
        if one.id == clock_id and view.forbids:
            return view, _until(desk, one)
    raise NotFound("No clock that needs a tag runs here any more.")


@anyone_in_the_shop
def asked_by_relearns(desk: Desk, release: Release) -> dict[str, ClockAsked]:
    """By line of the release list: the clock that its relearn asks for, while it is open."""
    lines = [one for one in release.items if one.relearn and not one.by]
    found = {one.key: asked_by(one.relearn, one.key) for one in lines}
    return {key: asked for key, asked in found.items() if asked is not None}


def _end(desk: Desk, concern_id: int, clock_ids: Sequence[int]) -> None:
    if not clock_ids:
        return
    for one in clock_ids:
        store.end(desk.session, concern_id, desk.actor.name, desk.now, clock_id=one)
        desk.note_down("ended clock", "concern", concern_id, clock_id=one)
    soaks = [one for one in store.running_on(desk.session, [concern_id]) if one.kind is ClockKind.SOAK]
    if not soaks:
        waiting.go_on(desk, concern_id, arrived=WaitingFor.SOAK)


def _views(desk: Desk, clocks: Sequence[Clock]) -> tuple[ClockView, ...]:
    return tuple(_view(desk, one) for one in as_they_end(clocks))


def _view(desk: Desk, clock: Clock) -> ClockView:
    return view_of(clock, desk.now, desk.shop.zone)


def _until(desk: Desk, clock: Clock) -> str:
    return until_said(clock, desk.now, desk.shop.zone)
