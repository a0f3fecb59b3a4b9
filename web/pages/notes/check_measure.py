"""How a number decides a check, as the form has it and as it is read."""

from __future__ import annotations

import re
from collections.abc import Mapping

from kb.desk.bay.concern import odd_entries
from kb.desk.context import Desk
from kb.errors import BadInput
from kb.nouns.bay.measures import Decides, Measure, PrintedLimit, YesWhen, bounds, plain_number
from kb.nouns.typed_numbers import without_commas
from web.forms import TypedForm

NUMBERS = ("limit", "upper", "between", "least", "most")
_PRINTED = re.compile(r"(?P<note>.+?)\s*[:=]\s*(?P<limit>-?[\d.,]+)(?:\s*(?:to|-|–)\s*(?P<upper>-?[\d.,]+))?")


def as_typed(measure: Measure | None, names: Mapping[int, str]) -> dict[str, str]:
    """A measure as the form would have it; empty texts where the check takes no number."""
    begin = measure or Measure("")
    printed = "\n".join(
        f"{names.get(one.note_id, f'#{one.note_id}')}: {bounds(one.limit, one.upper)}"
        for one in begin.printed
    )
    return {
        **{name: plain_number(getattr(begin, name)) for name in NUMBERS},
        "unit": begin.unit,
        "yes_when": begin.yes_when.value,
        "decides": begin.decides.value,
        "left_open": begin.left_open,
        "printed": printed,
    }


def measure_typed(desk: Desk, typed: TypedForm) -> Measure | None:
    """None where no unit is chosen. Raises BadInput for what cannot be read, or a note not on file."""
    if not typed.text("unit"):
        return None
    return Measure(
        unit=typed.text("unit"),
        yes_when=typed.one_of("yes_when", YesWhen, YesWhen.OVER),
        limit=typed.number("limit"),
        upper=typed.number("upper"),
        between=typed.number("between") or 0.0,
        decides=typed.one_of("decides", Decides, Decides.BOTH),
        least=typed.number("least"),
        most=typed.number("most"),
        left_open=typed.text("left_open"),
        printed=tuple(one for line in typed.lines("printed") for one in _printed(desk, line)),
    )


def _printed(desk: Desk, line: str) -> tuple[PrintedLimit, ...]:
    found = _PRINTED.fullmatch(line)
    if found is None:
        what = f"“{line}” is not a note and its limit. Write it as TRN-19-044A: 45, or 45 to 55."
        raise BadInput(what, fields={"printed": "a note and its limit a line"})
    upper = _number(found["upper"]) if found["upper"] else None
    notes = odd_entries.notes_called(desk, found["note"], "printed")
    return tuple(PrintedLimit(note, _number(found["limit"]), upper) for note in notes)


def _number(text: str) -> float:
    try:
        return float(without_commas(text, "printed"))
    except ValueError:
        raise BadInput(f"{text} is no number.", fields={"printed": f"{text} is no number"}) from None
