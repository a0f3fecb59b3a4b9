"""Small files to import, and the whole database as plain values to compare before and after."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from typing import Any

from sqlalchemy import RowMapping
from sqlmodel import SQLModel

from kb.desk.context import RunningShop
from kb.desk.imports import imports
from kb.desk.imports.import_told import ImportView
from kb.intake.history.history import COLUMNS
from kb.nouns.people import Actor

LEAD = Actor(0, "lead", "lead")
TECH = Actor(0, "tech", "tech")
_ABOUT_IMPORTS = {
    "trail",
    "trail_head",
    "import_job",
    "imported_row",
    "revision",
    "kept_columns",
    "left_out_row",
    "waiting_file",
}
_PARTS = {
    "note_coverage",
    "note_step",
    "note_document",
    "note_revision",
    "follow_up",
    "concern_code",
    "other_work",
}
_STAMPS = {"changed_revision", "changed_at"}

ROW = {
    "ro_number": "2087",
    "line": "A",
    "opened_on": "2026-03-01",
    "make": "Norvane",
    "model": "Tessel",
    "year": "2019",
    "complaint": "bucks uphill when warm",
    "codes": "P0171",
    "module": "PCM",
    "calibration_before": "NV1A",
    "calibration_after": "NV1B",
    "update": "NV-24-101",
    "reflashed_on": "2026-03-02",
    "gone_at_road_test": "yes",
}


def table(columns: tuple[str, ...], *rows: dict[str, str]) -> bytes:
    out = io.StringIO()
    writer = csv.DictWriter(out, columns, restval="")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue().encode()


def history(*changes: dict[str, str]) -> bytes:
    return table(COLUMNS, *(ROW | change for change in changes))


def notes_file(*rows: dict[str, str]) -> bytes:
    names = dict.fromkeys(name for row in rows for name in row)
    return table(tuple(names), *rows)


def take(shop: RunningShop, format_name: str, data: bytes, **more: Any) -> ImportView:
    job = imports.run_import(shop, LEAD, format_name, "file.csv", data, **more)
    return view(shop, job)


def view(shop: RunningShop, job: int) -> ImportView:
    with shop.reading(LEAD) as desk:
        return imports.read_import(desk, job)


def counts(taken: ImportView) -> tuple[int, int, int]:
    return taken.created, taken.changed, taken.unchanged


def everything(shop: RunningShop) -> dict[str, list[dict[str, Any]]]:
    """Every row of every table, save what is about imports themselves and the stamps of caches.

    Parts of a note and follow-ups are written anew with each change; their ids mean nothing to anybody.
    """
    with shop.records.reading() as session:
        return {
            table.name: sorted(
                (_values(table.name, row._mapping) for row in session.execute(table.select())), key=str
            )
            for table in SQLModel.metadata.sorted_tables
            if table.name not in _ABOUT_IMPORTS
        }


def _values(table_name: str, row: RowMapping) -> dict[str, Any]:
    nameless = {"id"} if table_name in _PARTS else set()
    return {str(name): value for name, value in row.items() if name not in _STAMPS | nameless}


class FailsOnce:
    """Stands for a function that fails at its nth call, as on a full disk, and works again afterwards."""

    def __init__(self, real: Callable[..., Any], at: int) -> None:
        self.real, self.left = real, at

    def __call__(self, *args: Any, **more: Any) -> Any:
        self.left -= 1
        if self.left == 0:
            raise OSError("no space left")
        return self.real(*args, **more)
