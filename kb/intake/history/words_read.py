"""The answers that stand in a history file, each with what it is read as, so that no reading is silent."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum

from kb.errors import BadInput
from kb.intake.columns import values_of
from kb.intake.days import iso_day
from kb.intake.history.history_words import (
    answer_beside_day,
    read_came_back,
    read_came_of_it,
    read_duplicated,
    read_returned,
    read_road_test,
    read_way,
)
from kb.intake.own_table.table import Table
from kb.nouns.imports import HowToRead

MOST_WORDS = 12
"""Different answers shown of a column, the most frequent first."""


class Return(StrEnum):
    """What an answer says of a comeback where it is no day."""

    CAME_BACK = "came_back"
    NOT_TOLD = "not_told"


@dataclass(frozen=True, slots=True)
class WordRead:
    """An answer under the column that is read as `ours`, how many rows have it, and its reading.

    `read_as` is None where the answer is not understood (its rows are left out), and for an event where it is
    the name of a programming event.
    """

    ours: str
    text: str
    rows: int
    read_as: StrEnum | None


def words_read(table: Table, how: HowToRead, rows: int) -> tuple[WordRead, ...]:
    """Of the first so many rows, by column; none of a column that is left out, and no days and numbers."""
    return tuple(
        WordRead(ours, text, count, _read(read, text))
        for ours, read in _ANSWERS.items()
        for text, count in _counted(table, how, ours, rows)
    )


def _counted(table: Table, how: HowToRead, ours: str, rows: int) -> Iterator[tuple[str, int]]:
    names = {theirs for theirs, column in how.columns.items() if column == ours}
    values = values_of(table, names, rows) if names else iter(())
    answers = (answer_beside_day(iso_day(" ".join(one.split()), how.days)) for one in values)
    yield from Counter(
        one for one in answers if one and not (ours in _WITH_DAYS and one[0].isdecimal())
    ).most_common(MOST_WORDS)


def _read(read: Callable[[str], StrEnum | None], text: str) -> StrEnum | None:
    try:
        return read(text)
    except BadInput:
        return None


def _returned(text: str) -> StrEnum:
    return Return.CAME_BACK if read_returned(text).came_back else Return.NOT_TOLD


def _came_back(text: str) -> StrEnum:
    said = read_came_back(text)
    return Return.CAME_BACK if said.came_back else said.result or Return.NOT_TOLD


_WITH_DAYS = ("returned_on", "came_back")
_ANSWERS: Mapping[str, Callable[[str], StrEnum | None]] = {
    "duplicated_before": read_duplicated,
    "gone_at_road_test": read_road_test,
    "event": lambda text: read_came_of_it(text)[1],
    "returned_on": _returned,
    "came_back": _came_back,
    "way": read_way,
}
