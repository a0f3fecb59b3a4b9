"""Bodies about preparing a module for programming."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from api.schemas.base import IdIn, In, Out, Text, Word
from kb.desk.prep import PrepItem, PrepList


class PrepItemOut(Out):
    """One line; an empty `by` means open. With a `unit` the measured value is entered."""

    key: str
    text: str
    source: str
    unit: str
    blocks: bool
    by: str
    at: datetime | None
    measured: str
    passed_over: str


class PlaceOut(Out):
    """Where a person stands: battery, cabin or computer."""

    place: str
    items: list[PrepItemOut]


class PrepOut(Out):
    """The list for one update. `exact_entries` are typed exactly as printed, capitals included."""

    concern_id: int
    note: int | None
    number: str
    module: str
    calibration_before: str
    calibration_after: str
    open_items: int
    places: list[PlaceOut]
    exact_entries: list[str]
    relearns: list[str]
    overrides: list[str]


class PrepBody(In):
    """Tick a line, with its value where one is measured; or pass it over with the reason."""

    measured: Word = ""
    passed_over: Text = ""
    note: IdIn | None = None


def prep_out(found: PrepList) -> PrepOut:
    """The list as the interface says it."""
    update, step, reading = found.update, found.step, found.reading
    return PrepOut(
        concern_id=found.concern_id,
        note=update.note_id if update else None,
        number=update.number if update else "",
        module=step.module if step else "",
        calibration_before=reading.calibration_id if reading else "",
        calibration_after=step.new_id if step else "",
        open_items=found.open_items,
        places=[
            PlaceOut(place=place, items=[PrepItemOut.model_validate(_item(one)) for one in items])
            for place, items in found.places
        ],
        exact_entries=list(found.exact_entries),
        relearns=list(found.relearns),
        overrides=list(found.overrides),
    )


def _item(item: PrepItem) -> dict[str, Any]:
    line = {name: getattr(item.line, name) for name in ("key", "text", "source", "unit", "blocks")}
    done = {name: getattr(item, name) for name in ("by", "at", "measured", "passed_over")}
    return line | done
