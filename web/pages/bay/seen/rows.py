"""What was read of photos, files and texts, as rows of a form: proposed, ticked, put right.

They travel in the form itself, so that nothing is saved before somebody saves it and no script is needed.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

from api.seen_file import seen_file
from kb.desk.bay.seen.reading_scans import SeenFile, SeenValue, read_scans, what_is_missing
from kb.nouns.concerns import CodeStatus
from kb.nouns.read_values import ReadKind, ReadValue, of_modules
from kb.nouns.vehicles import CalibrationReading, CalibrationSource
from web.forms import TypedForm

MOST_SHOWN = 100
_TEXT, _FILE = "read_text", "file"
_CALLED = {
    "vin": "VIN",
    "code": "Trouble code",
    "calibration_id": "Calibration ID",
    "cvn": "CVN",
    "hardware_number": "Hardware number",
    "software_number": "Software number",
    "odometer": "Odometer",
    "voltage": "Voltage",
}
OF_A_MODULE = frozenset({"calibration_id", "cvn", "hardware_number", "software_number"})


@dataclass(frozen=True, slots=True)
class SeenRow:
    """One proposal as the form carries it; `doubtful` are places of the value, from 1."""

    field: str
    value: str
    module: str = ""
    status: str = ""
    read_from: str = ""
    doubtful: tuple[int, ...] = ()
    source: str = CalibrationSource.READ.value

    @property
    def called(self) -> str:
        return _CALLED[self.field]

    @property
    def of_a_module(self) -> bool:
        return self.field in OF_A_MODULE

    @property
    def kept_as_read(self) -> bool:
        """Whether it is kept with the concern as a reading, since no field of the form takes it."""
        return self.of_a_module or self.field == "voltage"

    @property
    def waits_for_module(self) -> bool:
        """Whether a person has to say first which module it is of."""
        return self.of_a_module and not self.module

    @property
    def letters(self) -> tuple[tuple[str, bool], ...]:
        """Each letter of the value, and whether it is in doubt."""
        return tuple((letter, n in self.doubtful) for n, letter in enumerate(self.value, start=1))

    @property
    def code_status(self) -> CodeStatus:
        return CodeStatus(self.status) if self.status in set(CodeStatus) else CodeStatus.NOT_SAID

    @property
    def as_read(self) -> ReadValue:
        """The value as it is kept with a concern."""
        kind, source = ReadKind(self.field), CalibrationSource(self.source)
        return ReadValue(kind, self.value, self.module, source=source)

    @property
    def carried(self) -> str:
        return json.dumps(asdict(self))


def rows(typed: TypedForm, name: str) -> tuple[SeenRow, ...]:
    """The rows that a form carries under a name; what is none is left out. Of those not taken yet the module
    and a value in doubt may have been put right beside them.
    """
    found = [_row(text) for text in typed.values.get(name, ())]
    if name == "seen":
        padding = [""] * len(found)
        modules = [*typed.values.get("seen_module", ()), *padding]
        values = [*typed.values.get("seen_value", ()), *padding]
        found = [row and _put_right(row, *said) for row, *said in zip(found, modules, values, strict=False)]
    return tuple(row for row in found if row)[: MOST_SHOWN * 2]


def shown(typed: TypedForm, takes: frozenset[str]) -> dict[str, Any]:
    """What the panel that reads (`parts/read_from.html`) shows on a form that takes these fields."""
    seen = rows(typed, "seen")
    return {"seen": seen, "sure": sure(seen, takes), "takes": takes, "missing": what_is_missing()}


def ticked(typed: TypedForm, takes: frozenset[str]) -> list[SeenRow]:
    """The rows that were ticked, or the sure ones where all of those are asked for."""
    seen, chosen = rows(typed, "seen"), typed.all("take")
    every = sure(seen, takes) if typed.text("take_all") == "sure" else ()
    return [row for n, row in enumerate(seen) if row.field in takes and (str(n) in chosen or row in every)]


def sure(seen: Sequence[SeenRow], takes: frozenset[str]) -> tuple[SeenRow, ...]:
    """Those in which nothing is marked and nothing has to be said first. Where part numbers are taken, a
    number is kept with a calibration ID of its module, which must be sure too.
    """
    clear = [row for row in seen if row.field in takes and not row.doubtful and not row.waits_for_module]
    if not takes >= OF_A_MODULE:
        return tuple(clear)
    with_id = {row.module for row in clear if row.field == "calibration_id"}
    return tuple(row for row in clear if not row.of_a_module or row.module in with_id)


def calibrations(accepted: Iterable[SeenRow]) -> tuple[CalibrationReading, ...]:
    """The accepted numbers, module by module."""
    return of_modules(row.as_read for row in accepted if row.of_a_module)


def voltages(accepted: Iterable[SeenRow]) -> tuple[ReadValue, ...]:
    """The accepted voltages, each as a reading of its own."""
    return tuple(row.as_read for row in accepted if row.field == ReadKind.VOLTAGE)


def waits_to_be_read(typed: TypedForm) -> bool:
    """Whether a photo, a file or a text was given that nobody has read yet."""
    return bool(typed.files.get(_FILE) or typed.text(_TEXT))


def files_of(typed: TypedForm) -> list[SeenFile]:
    return [seen_file(one) for one in typed.files.get(_FILE, ())]


def read(typed: TypedForm) -> TypedForm:
    """The form with what its files and its text propose. Raises as the reading does."""
    told = read_scans(typed.text(_TEXT), files_of(typed))
    known = rows(typed, "seen")
    new = [row for row in map(_of_value, told.proposals[:MOST_SHOWN]) if row not in known]
    values = {
        **left((*known, *new)),
        "read_said": (told.message,),
        _TEXT: () if new else typed.values.get(_TEXT, ()),
    }
    return TypedForm({**typed.values, **values}, typed.files)


def left(found: Iterable[SeenRow]) -> dict[str, tuple[str, ...]]:
    """The values of a form that still proposes these."""
    kept = tuple(found)
    return {
        "seen": carried(kept),
        "seen_module": tuple(row.module for row in kept),
        "seen_value": tuple(row.value for row in kept),
        "take": (),
        "take_all": (),
    }


def carried(found: Iterable[SeenRow]) -> tuple[str, ...]:
    return tuple(row.carried for row in found)


def _put_right(row: SeenRow, module: str, value: str) -> SeenRow:
    """A value that somebody typed beside what was read is not in doubt any more."""
    if row.of_a_module and module.strip():
        row = replace(row, module=module.strip()[:40])
    changed = value.strip().upper()[:64]
    return row if changed in ("", row.value.upper()) else replace(row, value=changed, doubtful=())


def _row(text: str) -> SeenRow | None:
    """A row off a form, or None for what our own page never wrote."""
    try:
        told = json.loads(text)
        row = SeenRow(**{**told, "doubtful": tuple(map(int, told.get("doubtful", ())))})
        CalibrationSource(row.source)
    except (ValueError, TypeError, AttributeError):
        return None
    texts = (row.field, row.value, row.module, row.status, row.read_from)
    fits = all(isinstance(one, str) and len(one) <= 200 for one in texts) and row.field in _CALLED
    return row if fits else None


def _of_value(one: SeenValue) -> SeenRow:
    return SeenRow(
        one.field.value,
        one.value,
        one.module,
        one.status,
        one.read_from[:200],
        one.doubtful,
        one.source.value,
    )
