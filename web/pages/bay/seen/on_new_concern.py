"""What was read of photos, files and texts, taken into the form of a new concern."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence

from kb.nouns.bay.known import KnownOfVin
from kb.nouns.bay.read_proposals import OF_A_MODULE, modules_with_id
from kb.nouns.concerns import ReportedCode
from web.forms import TypedForm
from web.pages.bay.seen.row import SeenRow
from web.pages.bay.seen.rows import carried, left, rows, ticked

TAKEN = frozenset({"vin", "code", "odometer", "voltage", "newest_id"}) | OF_A_MODULE
_OF_THE_CAR = ("make", "model", "engine", "year")


def filled(typed: TypedForm) -> TypedForm:
    """The form with what was ticked: an empty field is filled, codes are added, numbers of modules kept."""
    taken = ticked(typed, TAKEN)
    if not taken:
        return typed
    before = rows(typed, "accepted")
    with_id = modules_with_id((*before, *taken))
    vins = {row.value for row in taken if row.field == "vin"}
    kept = [row for row in taken if _is_kept(row, with_id)]
    stand = [
        row
        for row in taken
        if row not in kept and not (_fits(typed, row) and (row.field != "vin" or len(vins) == 1))
    ]
    values: dict[str, tuple[str, ...]] = {
        **typed.values,
        **left(row for row in rows(typed, "seen") if row not in taken or row in stand),
        "accepted": carried(dict.fromkeys((*before, *kept))),
        "codes": (_with_codes(typed.text("codes"), [row.value for row in kept if row.field == "code"]),),
        "read_said": (" ".join(_why_not(typed, row) for row in stand),),
    }
    for row in taken:
        if row.field in ("vin", "odometer") and row not in stand:
            values[row.field] = (row.value,)
    return TypedForm(values, typed.files)


def with_car(typed: TypedForm, known: KnownOfVin) -> TypedForm:
    """The form with what is known of its VIN in the fields that are empty."""
    read = {name: str(getattr(known, name) or "") for name in _OF_THE_CAR}
    taken = {name: (typed.text(name) or said,) for name, said in read.items()}
    return TypedForm({**typed.values, **taken, "read_as": ("yes",)}, typed.files)


def without_car(typed: TypedForm) -> TypedForm:
    """The form whose VIN is of another car than it was read as."""
    emptied = dict.fromkeys(_OF_THE_CAR, ("",))
    return TypedForm({**typed.values, **emptied, "read_as": ("no",)}, typed.files)


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


def _is_kept(row: SeenRow, with_id: Collection[str]) -> bool:
    """Whether it is kept as it is; a part number needs an ID of its module."""
    if row.of_a_module:
        return row.has_id_among(with_id)
    return row.field in ("code", "voltage") or (row.is_newest and bool(row.module))


def _fits(typed: TypedForm, row: SeenRow) -> bool:
    """Whether a VIN or an odometer may go into its field: it is empty, or says the same."""
    if row.field not in ("vin", "odometer"):
        return False
    return re.sub(r"[\s,-]", "", typed.text(row.field)).upper() in ("", row.value)


def _why_not(typed: TypedForm, row: SeenRow) -> str:
    if row.field == "vin" and not typed.text("vin"):
        return f"Two VINs were read: tick the one of this vehicle. {row.value} is not filled in."
    if row.of_a_module and row.module:
        return f"{row.called} {row.value}: it is kept with a calibration ID of {row.module}; tick that too."
    if row.waits_for_module:
        return f"{row.called} {row.value}: type the module that it is of, then fill it in."
    return f"{row.called}: what is typed stands; empty the field to take {row.value}."


def _with_codes(typed: str, codes: Sequence[str]) -> str:
    known = {word.upper() for word in re.split(r"[\s,;]+", typed)}
    return " ".join((*filter(None, (typed,)), *(one for one in dict.fromkeys(codes) if one not in known)))
