"""How a file is read, as chosen on its page."""

from __future__ import annotations

from kb.desk.imports.reading_how import HowAsked
from kb.nouns.imports import DaysWritten, Encoding, Layout, Separator
from web.forms import TypedForm
from web.pages.imports.notes_wanted import wanted_in

DAYS = (
    ("", "as they tell themselves"),
    (DaysWritten.YEAR_FIRST.value, "2026-03-31"),
    (DaysWritten.MONTH_FIRST.value, "3/31/2026"),
    (DaysWritten.DAY_FIRST.value, "31/3/2026"),
)
SEPARATORS = (
    ("", "found by looking"),
    *(
        (one.name.lower(), word)
        for one, word in zip(Separator, (", comma", "; semicolon", "TAB", "| pipe"), strict=True)
    ),
)
ENCODINGS = (
    ("", "found by looking"),
    (Encoding.UTF_8.value, "UTF-8"),
    (Encoding.WINDOWS.value, "Windows (cp1252)"),
    (Encoding.LATIN_1.value, "Latin-1"),
    (Encoding.MAC.value, "older Mac (Mac Roman)"),
)


def how_typed(typed: TypedForm) -> HowAsked:
    """What each column is read as: field column_N holds its name, read_as_N one of ours or nothing.

    BadInput for a line that is no number.
    """
    numbers = [name.removeprefix("column_") for name in typed.values if name.startswith("column_")]
    columns = {typed.raw(f"column_{n}"): typed.text(f"read_as_{n}") for n in numbers}
    days, sign, encoding = (typed.text(name) for name in ("days", "separator", "encoding"))
    return HowAsked(
        columns,
        DaysWritten(days) if days in set(DaysWritten) else None,
        Layout(
            typed.whole("header_line", "line") or 0,
            Separator[sign.upper()] if sign.upper() in Separator.__members__ else None,
            Encoding(encoding) if encoding in set(Encoding) else None,
            typed.raw("sheet"),
        ),
        typed.ticked("take_texts"),
        wanted_in(typed),
    )
