"""What was read of photos, files and texts, taken into the form of a new concern."""

from __future__ import annotations

import re
from collections.abc import Sequence

from kb.nouns.concerns import ReportedCode
from kb.nouns.vehicles import fold_id
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
        ReportedCode(code, row.module, row.code_status)
        for code in codes
        for row in read_with.get(code.upper(), [SeenRow("code", code)])
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
