"""A history row as rows of the tables: dicts of columns for bulk inserts."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterable, Iterator, Sequence
from datetime import date
from typing import Any

from kb.desk.context import Desk
from kb.desk.imports.history_endings import End, ending_columns
from kb.desk.imports.history_facts import follow_ups_of, opened_on
from kb.intake.history.history_row import HistoryRow
from kb.nouns.concerns import (
    CodesScanned,
    CodeStatus,
    Overnight,
    ReflashResult,
    RoadTest,
)
from kb.nouns.outcomes import NO_UPDATE, Heard, Reflashed
from kb.outcomes.story import Story, concern_story
from kb.records.store.imports.history import fold

GRADE_NOT_KNOWN = ""  # until the complaint is looked at (kb/desk/bay/advice/abouts.py)

Columns = dict[str, Any]


def vehicle(desk: Desk, import_id: int, row: HistoryRow) -> Columns:
    return {
        "shop_id": desk.shop.id,
        "vin": row.vin,
        "make": row.make,
        "model": row.model,
        "year": row.year,
        "engine": row.engine,
        "import_id": import_id,
        "version": 1,
    }


def order(desk: Desk, import_id: int, row: HistoryRow, vehicle_id: int) -> Columns:
    return {
        "shop_id": desk.shop.id,
        "number": row.ro_number,
        "vehicle_id": vehicle_id,
        "opened_on": opened_on(row, desk.today),
        "odometer": row.odometer,
        "phone": "",
        "import_id": import_id,
        "version": 1,
    }


def concern(desk: Desk, import_id: int, row: HistoryRow, order_id: int, end: End) -> Columns:
    return {
        "shop_id": desk.shop.id,
        "repair_order_id": order_id,
        "line": row.line,
        "complaint": row.complaint,
        "technician_words": "",
        "conditions": [],
        "frequency": "",
        "usual_gap_days": None,
        "started": "",
        "just_before": "",
        "overnight": Overnight.NOT_ASKED.value,
        "codes_scanned": (CodesScanned.STORED if row.codes else CodesScanned.NOT_SCANNED).value,
        "cost_overrides": {},
        "opened_on": opened_on(row, desk.today),
        "opened_at": desk.now,
        "opened_by": desk.actor.name,
        **ending_columns(desk, end),
        "explained_by_note_id": None,
        "import_id": import_id,
        "changed_revision": 0,
        "version": 1,
    }


def codes(row: HistoryRow, concern_id: int) -> list[Columns]:
    said = CodeStatus.NOT_SAID.value
    return [{"concern_id": concern_id, "code": code, "module": "", "status": said} for code in row.codes]


def event_key(row: HistoryRow, vehicle_id: int) -> tuple[int, str, date]:
    """Rows of one vehicle, event name and day are one sitting."""
    return vehicle_id, fold(row.event), row.reflashed_on or date.min


def event(desk: Desk, import_id: int, row: HistoryRow, vehicle_id: int) -> Columns:
    return {
        "shop_id": desk.shop.id,
        "vehicle_id": vehicle_id,
        "technician": "",
        "performed_on": row.reflashed_on,
        "who_was_called": "",
        "remark": row.event,
        "recorded_at": desk.now,
        "import_id": import_id,
        "version": 1,
    }


def module(row: HistoryRow) -> str:
    return row.module.strip().upper()


def positions(keys: Sequence[tuple[int, str, int | None]]) -> list[int]:
    """The order of each module within its event, from 1."""
    order: dict[int, dict[Hashable, int]] = defaultdict(dict)
    return [order[key[0]].setdefault(key, len(order[key[0]]) + 1) for key in keys]


def reflash(row: HistoryRow, event_id: int, update: int | None, position: int) -> Columns:
    return {
        "event_id": event_id,
        "position": position,
        "module": module(row),
        "update_id": update,
        "result": ReflashResult.COMPLETED.value,
        "calibration_before": row.calibration_before,
        "calibration_after": row.calibration_after,
        "cvn_after": "",
        "error_text": "",
    }


def outcome(
    desk: Desk, import_id: int, row: HistoryRow, concern_id: int, reflash_id: int, update: int | None
) -> Columns:
    return {
        "shop_id": desk.shop.id,
        "reflash_id": reflash_id,
        "concern_id": concern_id,
        "update_id": update,
        "reflashed_on": row.reflashed_on,
        **outcome_facts(row),
        **_as_told(desk, row, update).columns(),
        "import_id": import_id,
    }


def outcome_facts(row: HistoryRow) -> Columns:
    return {
        "odometer": row.odometer,
        "duplicated_before": row.duplicated_before.value,
        "road_test": (row.gone_at_road_test or RoadTest.CANNOT_SAY).value,
        "other_work": bool(row.other_work),
        "installed": True,
    }


def _as_told(desk: Desk, row: HistoryRow, update: int | None) -> Story:
    """By this row alone; where more tells of the concern, it is renewed at the end of the import."""
    done = Reflashed(
        update_id=update or NO_UPDATE,
        reflashed_on=row.reflashed_on or date.min,
        road_test=row.gone_at_road_test or RoadTest.CANNOT_SAY,
        duplicated_before=row.duplicated_before,
        other_work=bool(row.other_work),
        recorded_at=desk.now,
    )
    heard = [Heard(said, desk.now) for said in follow_ups_of(row, desk.shop.currency)]
    return concern_story([done], heard)[0]


def follow_ups(desk: Desk, import_id: int, row: HistoryRow, concern_id: int) -> Iterator[Columns]:
    for one in follow_ups_of(row, desk.shop.currency):
        yield {
            "concern_id": concern_id,
            "result": one.result.value,
            "seen_on": one.seen_on,
            "odometer": None,
            "how": one.how,
            "remark": one.remark,
            "cost_minor": one.cost_minor,
            "by": desk.actor.name,
            "recorded_at": desk.now,
            "import_id": import_id,
            "day_known": one.day_known,
            "heard": one.heard.value,
        }


def candidates(pairs: Iterable[tuple[int, int]]) -> list[Columns]:
    every = sorted(pairs)
    places = positions([(concern_id, "", note_id) for concern_id, note_id in every])
    return [
        {
            "concern_id": concern_id,
            "note_id": note_id,
            "position": position,
            "grade": GRADE_NOT_KNOWN,
            "all_codes_named": False,
        }
        for (concern_id, note_id), position in zip(every, places, strict=True)
    ]
