"""What was read of photos, files and texts, beside the form of a new concern: proposed, and accepted.

Both travel in the form itself, so that nothing is saved before the concern is and no script is needed.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace

from kb.desk.bay.concern.reading_scans import SeenFile, SeenValue, read_scans
from kb.nouns.concerns import CodeStatus, ReportedCode
from kb.nouns.vehicles import CalibrationReading, CalibrationSource, fold_id
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
_OF_A_MODULE = frozenset({"calibration_id", "cvn", "hardware_number", "software_number"})


@dataclass(frozen=True, slots=True)
class SeenRow:
    """One proposal as the form carries it."""

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
        return self.field in _OF_A_MODULE

    @property
    def letters(self) -> tuple[tuple[str, bool], ...]:
        """Each letter of the value, and whether it is in doubt."""
        return tuple((letter, n in self.doubtful) for n, letter in enumerate(self.value, start=1))

    @property
    def carried(self) -> str:
        return json.dumps(asdict(self))


def rows(typed: TypedForm, name: str) -> tuple[SeenRow, ...]:
    """The rows that a form carries under a name; what is none is left out."""
    found = [_row(text) for text in typed.values.get(name, ())]
    if name == "seen":
        modules = typed.values.get("seen_module", ())
        found = [
            replace(row, module=said.strip()[:40]) if row and row.of_a_module and said.strip() else row
            for row, said in zip(found, [*modules, *[""] * len(found)], strict=False)
        ]
    return tuple(row for row in found if row)[: MOST_SHOWN * 2]


def waits_to_be_read(typed: TypedForm) -> bool:
    """Whether a photo, a file or a text was given that nobody has read yet."""
    return bool(typed.files.get(_FILE) or typed.text(_TEXT))


def read(typed: TypedForm) -> TypedForm:
    """The form with what its files and its text propose. Raises as the reading does."""
    files = [SeenFile(one.filename or "", one.file) for one in typed.files.get(_FILE, ())]
    told = read_scans(typed.text(_TEXT), files)
    known = rows(typed, "seen")
    new = [row for row in map(_of_value, told.proposals[:MOST_SHOWN]) if row not in known]
    values = {**typed.values, "seen": _carried((*known, *new)), "read_said": (told.message,)}
    values["seen_module"] = tuple(row.module for row in (*known, *new))
    return TypedForm({**values, _TEXT: () if new else typed.values.get(_TEXT, ())})


def filled(typed: TypedForm) -> TypedForm:
    """The form with what was ticked: an empty field is filled, codes are added, numbers of modules kept."""
    seen, ticked = rows(typed, "seen"), typed.all("take")
    taken = [row for n, row in enumerate(seen) if str(n) in ticked]
    if not taken:
        return typed
    before = rows(typed, "accepted")
    with_id = {fold_id(row.module) for row in (*before, *taken) if row.field == "calibration_id"} - {""}
    kept = [
        row for row in taken if row.field == "code" or (row.of_a_module and fold_id(row.module) in with_id)
    ]
    stand = [row for row in taken if row not in kept and not _fits(typed, row)]
    left = [row for row in seen if row not in taken or row in stand]
    values: dict[str, tuple[str, ...]] = {
        **typed.values,
        "seen": _carried(left),
        "seen_module": tuple(row.module for row in left),
        "take": (),
        "accepted": _carried(dict.fromkeys((*before, *kept))),
        "codes": (_with_codes(typed.text("codes"), [row.value for row in kept if row.field == "code"]),),
        "read_said": (" ".join(map(_why_not, stand)),),
    }
    for row in taken:
        if row.field in ("vin", "odometer") and row not in stand:
            values[row.field] = (row.value,)
    return TypedForm(values, typed.files)


def as_reported(typed: TypedForm, codes: Sequence[str]) -> tuple[ReportedCode, ...]:
    """The codes of the field, each with the module and the state that were read with it."""
    read_with: dict[str, list[SeenRow]] = {}
    for row in rows(typed, "accepted"):
        if row.field == "code":
            read_with.setdefault(row.value.upper(), []).append(row)
    return tuple(
        ReportedCode(code, row.module, _state(row.status))
        for code in codes
        for row in read_with.get(code.upper(), [SeenRow("code", code)])
    )


def calibrations(typed: TypedForm) -> tuple[CalibrationReading, ...]:
    """The accepted numbers by module: each calibration ID with its CVN, in the order they were read."""
    of: dict[str, list[SeenRow]] = {}
    for row in rows(typed, "accepted"):
        if row.of_a_module:
            of.setdefault(fold_id(row.module), []).append(row)
    return tuple(reading for group in of.values() for reading in _readings(group))


def _readings(group: Sequence[SeenRow]) -> Iterable[CalibrationReading]:
    by: Mapping[str, list[str]] = {
        field: [row.value for row in group if row.field == field] for field in _OF_A_MODULE
    }
    ids = [row for row in group if row.field == "calibration_id"]
    for n, row in enumerate(ids):
        yield CalibrationReading(
            row.module,
            row.value,
            CalibrationSource(row.source),
            cvn="".join(by["cvn"][n : n + 1]),
            hardware_number="".join(by["hardware_number"][:1]),
            software_number="".join(by["software_number"][:1]),
        )


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


def _carried(found: Iterable[SeenRow]) -> tuple[str, ...]:
    return tuple(row.carried for row in found)


def _fits(typed: TypedForm, row: SeenRow) -> bool:
    """Whether a VIN or an odometer may go into its field: it is empty, or says the same."""
    if row.field not in ("vin", "odometer"):
        return False
    return re.sub(r"[\s,-]", "", typed.text(row.field)).upper() in ("", row.value)


def _why_not(row: SeenRow) -> str:
    if row.of_a_module and row.module:
        return f"{row.called} {row.value}: it is kept with a calibration ID of {row.module}; tick that too."
    if row.of_a_module:
        return f"{row.called} {row.value}: type the module that it is of, then fill it in."
    if row.field == "voltage":
        return f"Voltage {row.value} V: it is entered where a check or the prep asks for it."
    return f"{row.called}: what is typed stands; empty the field to take {row.value}."


def _with_codes(typed: str, codes: Sequence[str]) -> str:
    known = {word.upper() for word in re.split(r"[\s,;]+", typed)}
    return " ".join((*filter(None, (typed,)), *(one for one in dict.fromkeys(codes) if one not in known)))


def _state(status: str) -> CodeStatus:
    return CodeStatus(status) if status in set(CodeStatus) else CodeStatus.NOT_SAID
