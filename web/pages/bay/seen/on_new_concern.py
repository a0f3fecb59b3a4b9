"""What was read of photos, files and texts, taken into the form of a new concern."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from kb.nouns.concerns import CodeStatus, ReportedCode
from kb.nouns.read_values import ReadKind, ReadValue
from kb.nouns.vehicles import CalibrationId, CalibrationReading, CalibrationSource, fold_id
from web.forms import TypedForm
from web.pages.bay.seen.rows import OF_A_MODULE, SeenRow, carried, left, rows, ticked

TAKEN = frozenset({"vin", "code", "odometer", "voltage"}) | OF_A_MODULE


def filled(typed: TypedForm) -> TypedForm:
    """The form with what was ticked: an empty field is filled, codes are added, numbers of modules kept."""
    taken = ticked(typed, TAKEN)
    if not taken:
        return typed
    before = rows(typed, "accepted")
    with_id = {fold_id(row.module) for row in (*before, *taken) if row.field == "calibration_id"} - {""}
    kept = [
        row
        for row in taken
        if row.field in ("code", "voltage") or (row.of_a_module and fold_id(row.module) in with_id)
    ]
    stand = [row for row in taken if row not in kept and not _fits(typed, row)]
    values: dict[str, tuple[str, ...]] = {
        **typed.values,
        **left(row for row in rows(typed, "seen") if row not in taken or row in stand),
        "accepted": carried(dict.fromkeys((*before, *kept))),
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
        ReportedCode(code, row.module, state_of(row.status))
        for code in codes
        for row in read_with.get(code.upper(), [SeenRow("code", code)])
    )


def calibrations(accepted: Iterable[SeenRow]) -> tuple[CalibrationReading, ...]:
    """The accepted numbers by module: its calibration IDs, each with its CVN, in the order they were read."""
    of: dict[str, list[SeenRow]] = {}
    for row in accepted:
        if row.of_a_module:
            of.setdefault(fold_id(row.module), []).append(row)
    return tuple(reading for group in of.values() for reading in _reading(group))


def voltages(accepted: Iterable[SeenRow]) -> tuple[ReadValue, ...]:
    """The accepted voltages, each as a reading of its own."""
    return tuple(
        ReadValue(ReadKind.VOLTAGE, row.value, row.module, source=CalibrationSource(row.source))
        for row in accepted
        if row.field == "voltage"
    )


def _reading(group: Sequence[SeenRow]) -> Iterator[CalibrationReading]:
    """The numbers of one module; none where no calibration ID is among them."""
    by = {field: [row.value for row in group if row.field == field] for field in OF_A_MODULE}
    cvns = [*by["cvn"], *[""] * len(group)]
    ids = [CalibrationId(one, cvn) for one, cvn in zip(by["calibration_id"], cvns, strict=False)]
    if ids:
        yield CalibrationReading(
            group[0].module,
            ids[0].calibration_id,
            CalibrationSource(next(row.source for row in group if row.field == "calibration_id")),
            cvn=ids[0].cvn,
            hardware_number="".join(by["hardware_number"][:1]),
            software_number="".join(by["software_number"][:1]),
            more=tuple(ids[1:]),
        )


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
    return f"{row.called}: what is typed stands; empty the field to take {row.value}."


def _with_codes(typed: str, codes: Sequence[str]) -> str:
    known = {word.upper() for word in re.split(r"[\s,;]+", typed)}
    return " ".join((*filter(None, (typed,)), *(one for one in dict.fromkeys(codes) if one not in known)))


def state_of(status: str) -> CodeStatus:
    return CodeStatus(status) if status in set(CodeStatus) else CodeStatus.NOT_SAID
