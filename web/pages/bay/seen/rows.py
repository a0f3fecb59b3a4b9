"""What was read of photos, files and texts, as rows of a form: proposed, ticked, put right.

They travel in the form itself, so that nothing is saved before somebody saves it and no script is needed.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date
from typing import Any

from api.seen_file import seen_file
from kb.desk.bay.seen.reading_scans import SeenFile, SeenValues, what_is_missing
from kb.nouns.bay.read_proposals import sure
from kb.nouns.read_values import ReadKind, ReadValue, of_modules
from kb.nouns.vehicles import CalibrationReading, LookUp
from web.forms import TypedForm
from web.pages.bay.seen.row import SeenRow, row_of_text, row_of_value

MOST_SHOWN = 100
_TEXT, _FILE = "read_text", "file"
_NOTHING_TICKED = "Nothing is ticked. Tick what is right, then fill it in."


def rows(typed: TypedForm, name: str) -> tuple[SeenRow, ...]:
    """The rows that a form carries under a name; what is none is left out. Of those not taken yet the module
    and a value in doubt may have been put right beside them.
    """
    found = [row_of_text(text) for text in typed.values.get(name, ())]
    if name == "seen":
        padding = [""] * len(found)
        modules = [*typed.values.get("seen_module", ()), *padding]
        values = [*typed.values.get("seen_value", ()), *padding]
        found = [row and _put_right(row, *said) for row, *said in zip(found, modules, values, strict=False)]
    return tuple(row for row in found if row)[: MOST_SHOWN * 2]


def shown(typed: TypedForm, takes: frozenset[str]) -> dict[str, Any]:
    """What the panel that reads (`parts/read_from.html`) shows on a form that takes these fields."""
    seen = tuple(sorted(rows(typed, "seen"), key=lambda row: row.field not in takes or not row.doubtful))
    return {
        "seen": seen,
        "marked": [row for row in seen if row.field in takes and row.doubtful],
        "sure": sure(seen, takes),
        "whole": sure(seen, takes, compared=True),
        "takes": takes,
        "missing": what_is_missing(),
    }


def ticked(typed: TypedForm, takes: frozenset[str]) -> list[SeenRow]:
    """The rows that were ticked; or all sure ones, or with them those that somebody compared with the photo,
    where all of those are asked for.
    """
    seen, chosen, asked = rows(typed, "seen"), typed.all("take"), typed.text("take_all")
    every = sure(seen, takes, compared=asked == "compared") if asked in ("sure", "compared") else ()
    return [row for n, row in enumerate(seen) if row.field in takes and (str(n) in chosen or row in every)]


def calibrations(accepted: Iterable[SeenRow]) -> tuple[CalibrationReading, ...]:
    """The accepted numbers, module by module."""
    return of_modules(row.as_read for row in accepted if row.of_a_module)


def voltages(accepted: Iterable[SeenRow]) -> tuple[ReadValue, ...]:
    """The accepted voltages, each as a reading of its own."""
    return tuple(row.as_read for row in accepted if row.field == ReadKind.VOLTAGE)


def look_ups(accepted: Iterable[SeenRow], today: date) -> list[LookUp]:
    """What the manufacturer's look-up offers, looked up today by whoever accepts it."""
    return [LookUp(row.module, today, "", row.value) for row in accepted if row.is_newest and row.module]


def waits_to_be_read(typed: TypedForm) -> bool:
    """Whether a photo, a file or a text was given that nobody has read yet."""
    return bool(typed.files.get(_FILE) or typed.text(_TEXT))


def text_of(typed: TypedForm) -> str:
    return typed.text(_TEXT)


def files_of(typed: TypedForm) -> list[SeenFile]:
    return [seen_file(one) for one in typed.files.get(_FILE, ())]


def with_read(typed: TypedForm, told: SeenValues, photo_of: Mapping[int | None, int]) -> TypedForm:
    """The form with what its files and its text propose; `photo_of` are by place among the files the photos
    as they are kept.
    """
    known = rows(typed, "seen")
    seen = (row_of_value(one, photo_of.get(one.file, 0)) for one in told.proposals[:MOST_SHOWN])
    new = [row for row in seen if row not in known]
    values = {
        **left((*known, *new)),
        "read_said": (told.message,),
        _TEXT: () if new else typed.values.get(_TEXT, ()),
    }
    return TypedForm({**typed.values, **values}, typed.files)


def with_nothing_ticked(typed: TypedForm) -> TypedForm:
    """The form as it was, which says why nothing was filled in."""
    return TypedForm({**typed.values, "read_said": (_NOTHING_TICKED,)}, typed.files)


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
    if (row.of_a_module or row.is_newest) and module.strip():
        row = replace(row, module=module.strip()[:40])
    changed = value.strip().upper()[:64]
    return row if changed in ("", row.value.upper()) else replace(row, value=changed, doubtful=())
