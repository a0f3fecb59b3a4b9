"""Columns that are filled and not read, told so that nothing of the shop goes in silence.

A column whose name or values speak of what came of a reflash is a warning: what tells of a failure in it is
lost, and the vehicle may count as cured. Any other is a notice.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field

from kb.intake.fields import named_rows
from kb.intake.history.history_words import says_nothing, speaks_of_failure, word_of_outcome
from kb.intake.own_table.table import Table
from kb.intake.rows import RowError, Severity
from kb.nouns.concerns import FollowUpResult

SHOWN = 2
LONGEST = 40
_MOST_DIFFERENT = 1000
_NAMES = re.compile(
    r"\b(come ?backs?|came ?back|returned|returns?|results?|outcomes?|cured?|fixed|sold|resolved|worked"
    r"|follow ?ups?|re ?check|redo|repeat)\b(?! by\b)",
    re.IGNORECASE,
)
_BARE = re.compile(
    r"(fixed|cured|resolved|sold|came back|come ?back|returned|other cause|new complaint)", re.IGNORECASE
)
_CHOOSE = "Say what it is read as."
_WRITE = "Where one did, write yes in a column “came back”."
_YES = {"yes", "y", "true", "x"}
Speaks = Callable[[str, Collection[str]], bool]


@dataclass(slots=True)
class _Filled:
    """The answers that stand in a column, as first spelled, and how many rows have each."""

    answers: Counter[str] = field(default_factory=Counter)
    spelled: dict[str, str] = field(default_factory=dict)

    def put(self, text: str) -> None:
        if says_nothing(text):
            return
        key = text.casefold()
        if key in self.spelled or len(self.spelled) < _MOST_DIFFERENT or speaks_of_failure(text):
            self.answers[self.spelled.setdefault(key, text)] += 1

    def first(self) -> list[tuple[str, int]]:
        """Those that tell of a failure before others, frequent ones before rare ones."""
        return sorted(self.answers.items(), key=lambda one: (not _tells(one[0]), -one[1]))[:SHOWN]


def left_out(
    table: Table,
    places: Mapping[str, int],
    speaks: Speaks,
    silent: Collection[str] = (),
) -> tuple[RowError, ...]:
    """Warnings, then notices, on the filled columns that are not in `places`; none of the `silent` ones.

    `speaks` says of a name and its answers whether an outcome may be lost with them.
    """
    read = set(places.values())
    named = {name or f"column {at + 1}": at for at, name in enumerate(table.header) if at not in read}
    found: dict[str, _Filled] = {name: _Filled() for name in named}
    for row in named_rows(table, named) if named else ():
        if not isinstance(row, RowError):
            for name, text in row[1].items():
                found[name].put(" ".join(text.split()))
    filled = {name: one for name, one in found.items() if one.answers}
    warned = [name for name, one in filled.items() if speaks(name, one.answers)]
    noticed = [name for name in filled if name not in warned and name not in silent]
    line = table.layout.header_line
    return (
        *(_told(line, name, filled[name], Severity.WARNING) for name in warned),
        *(_told(line, name, filled[name], Severity.NOTICE) for name in noticed),
    )


def speaks_of_outcome(name: str, answers: Collection[str]) -> bool:
    """By its name, or by an answer that says how a reflash ended."""
    return _is_of_outcome(name, answers) or any(map(speaks_of_failure, answers))


def speaks_of_nothing(name: str, answers: Collection[str]) -> bool:
    """For files in which no outcome stands."""
    return False


def _told(line: int, name: str, filled: _Filled, severity: Severity) -> RowError:
    said = ", ".join(_answer(at, text, rows) for at, (text, rows) in enumerate(filled.first()))
    message = f"Column “{name}” is left out: {said}."
    if severity is Severity.WARNING:
        mend = _CHOOSE if _is_of_outcome(name, filled.answers) else _WRITE
        message += f" Rows that came back would count as cured. {mend}"
    return RowError(line, name, message, severity)


def _is_of_outcome(name: str, answers: Collection[str]) -> bool:
    """Not only in passing, in a remark."""
    spaced = re.sub(r"(?<=[a-z])(?=[A-Z])|[_\-]+", " ", name)
    return bool(_NAMES.search(spaced) or any(map(_BARE.fullmatch, answers)))


def _answer(at: int, text: str, rows: int) -> str:
    short = text if len(text) <= LONGEST else f"{text[: LONGEST - 1].rstrip()}…"
    if at:
        return f"{rows:,} “{short}”"
    return f"{rows:,} row says “{short}”" if rows == 1 else f"{rows:,} rows say “{short}”"


def _tells(text: str) -> bool:
    failures = (FollowUpResult.CAME_BACK, FollowUpResult.OTHER_CAUSE)
    return text.casefold() in _YES or word_of_outcome(text) in failures or speaks_of_failure(text)
