"""Bodies about preparing a module for programming, and for the day that it fails."""

from __future__ import annotations

from datetime import date, datetime
from typing import Annotated, Any, Self

from pydantic import Field

from api.schemas.base import IdIn, In, Money, Out, Text, Word
from api.schemas.money import in_whole_units
from kb.desk.bay.programming.prep_views import PrepItem, PrepList
from kb.nouns.bay.failure_sheets import FailureSheet


class PrepItemOut(Out):
    """One line. With a `unit` the measured value is entered, with `asks` the words it names.

    `window` is the printed one, wherever it is printed (an end not printed is the end of what is possible);
    null: none is known, and the value is kept as measured. `inside`: whether the value lies in it. `says`:
    what is to be done about it. `signers`: who alone may tick it, by sign-in name; empty: anybody.
    """

    key: str
    text: str
    source: str
    unit: str
    blocks: bool
    by: str
    at: datetime | None
    measured: str
    passed_over: str
    window: tuple[float | None, float | None] | None
    inside: bool | None
    settled: bool
    asks: str
    says: str
    signers: list[str]


class PlaceOut(Out):
    """Where a person stands: battery, cabin or computer; before them the list of a replaced module."""

    place: str
    items: list[PrepItemOut]


class FailureSheetBody(In):
    """`latest_start`: the shop's time after which no programming of this make is begun, such as "15:30".

    `module_days`: until a new module is here; `customer_sentence`: what the customer is told.
    """

    support_line: Word = ""
    support_hours: Word = ""
    latest_start: Word = ""
    module_price: Money | None = None
    module_days: Annotated[int, Field(ge=0, le=365)] | None = None
    tow: Word = ""
    customer_sentence: Text = ""
    version: int = 0


class FailureSheetOut(Out):
    """A make's sheet, with who looked it up last."""

    id: int
    version: int
    by: str
    looked_up_on: date
    make: str
    support_line: str
    support_hours: str
    latest_start: str
    module_price: float | None
    module_days: int | None
    tow: str
    customer_sentence: str

    @classmethod
    def told(cls, sheet: FailureSheet, currency: str) -> Self:
        content = in_whole_units(sheet.content, currency)
        return cls.of(sheet, **content)


class WhenItFailsOut(Out):
    """What prep says of a failure beforehand: what is `missing` of the make's sheet, whether it is `too_late`
    today, and what to `tell_customer`.
    """

    missing: list[str]
    too_late: str
    tell_customer: str


class PrepOut(Out):
    """The list for one update. `exact_entries` are typed exactly as printed, capitals included.

    `system_volts`: 12, or 24 where printed so or `system_24v` is put. `ready`: nothing is open.
    """

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
    stops: list[str]
    system_volts: int
    ready: bool
    when_it_fails: WhenItFailsOut | None = None


class WindowBody(In):
    """Where the manufacturer prints a window past what is usually possible."""

    source: Text
    note: IdIn | None = None


class PrepBody(In):
    """Tick a line, with its value or words where it asks for them; or pass it over with the reason."""

    measured: Word = ""
    passed_over: Text = ""
    note: IdIn | None = None


def prep_out(found: PrepList) -> PrepOut:
    """The list as the interface says it."""
    update, step, reading = found.update, found.step, found.reading
    return PrepOut.of(
        found,
        note=update.note_id if update else None,
        number=update.number if update else "",
        module=step.module if step else "",
        calibration_before=reading.calibration_id if reading else "",
        calibration_after=step.new_id if step else "",
        places=[{"place": place, "items": [_item(one) for one in items]} for place, items in found.places],
        stops=[stop.kind for stop in found.stops],
    )


_OF_LINE = ("key", "text", "source", "unit", "blocks", "asks", "signers")


def _item(item: PrepItem) -> dict[str, Any]:
    line = {name: getattr(item.line, name) for name in _OF_LINE}
    done = {name: getattr(item, name) for name in ("by", "at", "measured", "passed_over")}
    stands = {name: getattr(item.standing, name) for name in ("inside", "settled", "says")}
    return line | done | stands | {"window": item.line.ends}
