"""How long the owner waits for the review: python -m tests.bench.review.

Invented shops of 10,000 and 1,000,000 outcomes in a SQLite file, asked as GET /api/reports/reflashes asks.
Cold: a new process that remembers nothing; warm: the same question again; then after one more follow-up.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable
from datetime import date
from pathlib import Path
from time import perf_counter, process_time
from typing import Any

import numpy as np
from sqlalchemy import insert
from sqlmodel import Session, SQLModel

from kb.desk import settings
from kb.desk.bay.outcomes import counted
from kb.desk.context import CONSOLE, RunningShop
from kb.desk.review import alarms, reports
from kb.desk.review.reports import ReportFilter
from kb.nouns.outcomes import Standing
from kb.outcomes.alarms import alarm_limits
from kb.records.store.imports.bulk import insert_rows, table_of
from kb.records.tables import (
    ConcernRow,
    NoteRow,
    Outcome,
    ProgrammingEvent,
    Reflash,
    RepairOrder,
    VehicleRow,
)

WINDOW = 90
SHARED = 5_000
"""Vehicles; the outcomes share them, since a report reads their make at most."""
MAKES = ("Norvane", "Quellen", "Tarrow", "Ostmark")
RUN = 50_000


def build(shop: RunningShop, outcomes: int, updates: int) -> None:
    with shop.writing(CONSOLE) as desk:
        base: dict[str, Any] = {"shop_id": desk.shop.id, "version": 1}
        notes = [
            base
            | {"kind": "bulletin", "state": "published", "number": f"N-{i}", "title": f"Update {i}"}
            | {"changed_revision": 1, "created_at": desk.now, "changed_at": desk.now, "author": "bench"}
            for i in range(updates)
        ]
        note_ids = insert_rows(desk.session, NoteRow, [_fitting(NoteRow, one) for one in notes])
        cars = [base | {"make": MAKES[i % len(MAKES)]} for i in range(SHARED)]
        vehicles = insert_rows(desk.session, VehicleRow, [_fitting(VehicleRow, one) for one in cars])
        day: dict[str, Any] = {"opened_on": desk.today, "opened_at": desk.now, "opened_by": "bench"}
        orders = [base | day | {"number": str(i), "vehicle_id": v} for i, v in enumerate(vehicles)]
        order_ids = insert_rows(desk.session, RepairOrder, [_fitting(RepairOrder, one) for one in orders])
        lines = [
            base | day | {"repair_order_id": o, "complaint": "x", "codes_scanned": ""} for o in order_ids
        ]
        concerns = insert_rows(desk.session, ConcernRow, [_fitting(ConcernRow, one) for one in lines])
        done: dict[str, Any] = {"performed_on": desk.today, "technician": "", "recorded_at": desk.now}
        sittings = [base | done | {"vehicle_id": v} for v in vehicles]
        events = insert_rows(
            desk.session, ProgrammingEvent, [_fitting(ProgrammingEvent, one) for one in sittings]
        )
        modules = [{"event_id": e, "position": 1, "module": "PCM", "result": "completed"} for e in events]
        reflashes = insert_rows(desk.session, Reflash, [_fitting(Reflash, one) for one in modules])
        _outcomes(desk.session, desk.shop.id, desk.today, outcomes, (note_ids, concerns, reflashes))
        desk.bump("outcomes")


def _outcomes(
    session: Session, shop_id: int, today: date, count: int, ids: tuple[list[int], list[int], list[int]]
) -> None:
    rng = np.random.default_rng(1)
    notes, concerns, reflashes = (np.array(some) for some in ids)
    not_cured = rng.beta(2, 8, notes.size)
    place = rng.integers(0, notes.size, count)
    start = today.toordinal() - rng.integers(0, 2000, count)
    fails = rng.random(count) < not_cured[place]
    day = np.where(fails, rng.integers(0, WINDOW + 1, count), rng.choice([0, 30, WINDOW], count))
    day = np.minimum(day, today.toordinal() - start)
    failing = np.where(day == 0, Standing.FAILED_AT_ROAD_TEST, Standing.COMEBACK)
    kind = np.where(fails, failing, Standing.IN_WINDOW)
    shared = rng.integers(0, concerns.size, count)
    other = rng.random(count) < 0.05
    for begin in range(0, count, RUN):
        rows = [
            {
                "shop_id": shop_id,
                "reflash_id": int(reflashes[shared[i]]),
                "concern_id": int(concerns[shared[i]]),
                "update_id": int(notes[place[i]]),
                "reflashed_on": (on := date.fromordinal(int(start[i]))),
                "duplicated_before": "yes",
                "road_test": "still_there" if kind[i] == Standing.FAILED_AT_ROAD_TEST else "gone",
                "other_work": bool(other[i]),
                "installed": True,
                "counted_as": 1,
                "reflashed_day": int(start[i]),
                "reflashed_month": on.year * 12 + on.month - 1,
                "event_kind": int(kind[i]),
                "event_day": int(day[i]),
                "heard_day": int(start[i] + day[i]),
                "comeback_cost_minor": 20_000 if fails[i] and day[i] else 0,
            }
            for i in range(begin, min(begin + RUN, count))
        ]
        session.execute(insert(table_of(Outcome)), rows)


def _fitting(model: type[SQLModel], values: dict[str, Any]) -> dict[str, Any]:
    """The values with the table's own defaults, as far as the table has such columns."""
    filled = {}
    for name, field in model.model_fields.items():
        if name in values:
            filled[name] = values[name]
        elif not field.is_required() and name != "id":
            filled[name] = field.get_default(call_default_factory=True)
    return filled


def timed(name: str, work: Callable[[], object]) -> None:
    start, busy = perf_counter(), process_time()
    work()
    wall, busy = perf_counter() - start, process_time() - busy
    print(f"  {name:40s} {wall:7.3f} s, {busy:7.3f} s of a processor", flush=True)


def ask(shop: RunningShop, make: str = "") -> object:
    with shop.reading(CONSOLE) as desk:
        return reports.reflash_report(desk, ReportFilter(make=make))


def heard_more(shop: RunningShop) -> None:
    with shop.writing(CONSOLE) as desk:
        desk.bump("outcomes")


def measure(outcomes: int, updates: int, folder: Path) -> None:
    url = f"sqlite:///{folder / f'{outcomes}.db'}"
    shop = RunningShop.open(url)
    build(shop, outcomes, updates)
    shop.close()
    print(f"{outcomes:,} outcomes of {updates} updates")
    shop = RunningShop.open(url)
    alarm_limits.limit_passed.cache_clear()
    alarm_limits.alarm_limit.cache_clear()
    timed("review, cold", lambda: ask(shop))
    timed("review, warm", lambda: ask(shop))
    timed("  one make, cold", lambda: ask(shop, make="norvane"))
    heard_more(shop)
    timed("review after one more was heard", lambda: ask(shop))
    heard_more(shop)
    with shop.reading(CONSOLE) as desk:
        rule = settings.current(desk).window_rule()
        timed("  of that the counts", lambda: counted.count(desk, desk.today))
        timed("  of that the watch", lambda: alarms.alarms(desk, desk.today, rule))
    shop.close()


if __name__ == "__main__":
    with tempfile.TemporaryDirectory(prefix="beforeflash-review-") as made:
        for size in [int(one) for one in sys.argv[1:]] or [10_000, 100_000, 1_000_000]:
            measure(size, 300 if size > 100_000 else 100, Path(made))
