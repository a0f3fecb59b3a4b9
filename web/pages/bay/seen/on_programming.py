"""What was read of a programming screen, taken into the form of its event: the IDs and CVNs after."""

from __future__ import annotations

from collections.abc import Iterable

from kb.nouns.vehicles import fold_id
from web.forms import TypedForm
from web.pages.bay.programming_typed import MOST_MODULES
from web.pages.bay.seen.row import SeenRow
from web.pages.bay.seen.rows import left, rows, ticked

TAKEN = frozenset({"calibration_id", "cvn"})


def filled(typed: TypedForm) -> TypedForm:
    """The form with what was ticked in the fields of its module, else of the next one without a name; what
    is typed there already stands.
    """
    values = dict(typed.values)
    taken = ticked(typed, TAKEN)
    done = [row for row in taken if _put(values, row)]
    values |= left(row for row in rows(typed, "seen") if row not in done)
    values["read_said"] = (_said(row for row in taken if row not in done),)
    return TypedForm(values, typed.files)


def _put(values: dict[str, tuple[str, ...]], row: SeenRow) -> bool:
    """Whether there was an empty field for it, which it is then in."""
    place = _place(values, row.module)
    field = f"after_{place}" if row.field == "calibration_id" else f"cvn_{place}"
    if not place or _text(values, field) not in ("", row.value):
        return False
    values |= {field: (row.value,), f"module_{place}": (_text(values, f"module_{place}") or row.module,)}
    if row.field == "calibration_id":
        values[f"after_source_{place}"] = (row.source,)
    return True


def _place(values: dict[str, tuple[str, ...]], module: str) -> int:
    """The module's own place on the form, else the first without a name; 0 where there is none."""
    named = {n: fold_id(_text(values, f"module_{n}")) for n in range(1, MOST_MODULES + 1)}
    own = [n for n, name in named.items() if name and (name == fold_id(module) or not module)]
    return next(iter((*own, *(n for n, name in named.items() if not name and module))), 0)


def _text(values: dict[str, tuple[str, ...]], name: str) -> str:
    return next(iter(values.get(name, ())), "").strip()


def _said(stand: Iterable[SeenRow]) -> str:
    return " ".join(
        f"{row.called} {row.value}: what is typed stands; empty its field to take it." for row in stand
    )
