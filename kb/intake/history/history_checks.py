"""What does not fit together in a history row: errors keep it out, warnings ask somebody to look."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from datetime import date

from kb.errors import BadInput
from kb.intake.history.history_row import HistoryRow
from kb.intake.history.history_words import is_a_day, speaks_of_failure
from kb.intake.rows import ReadOptions, RowError, Severity
from kb.nouns.concerns import RoadTest
from kb.nouns.model_years import check_day

_DAY_NOT_SAID = (
    "It came back, but the day is not said: it counts as a comeback from the reflash on. "
    "Enter returned_on if it came back later."
)

_KNOWN_OK_PAST_THE_WINDOW = (
    "It counts as cured at {window} days, since it was known to be OK to {seen}. "
    "Enter returned_on if the concern was back before."
)
_ONLY_TEXT = "A row needs a complaint or the number of an update, and here is only text. Enter one."
_NO_REFLASH = (
    "The day of the reflash is not said, so this counts nowhere: {lost}. "
    "Enter reflashed_on if it was reflashed."
)
_DAY_OF_A_WORD = "Read as the day of “{word}”, not of a comeback. If it was, write yes under came_back."
_NAME_OR_COMEBACK = (
    "“{event}” is read as the name of a programming event: no comeback is counted. "
    "If it came back, write “came back” here, and the day under returned_on."
)

_TOLD_BEFORE = (
    "This row stands in line {line} already, and that one is read; but here it tells of a failure that line "
    "{line} does not. Write it there."
)


def look_twice(row: HistoryRow, options: ReadOptions) -> Iterator[RowError]:
    """Everything that is wrong or odd in a row whose fields could each be read."""
    for column, message in (*_impossible(row), *_of_no_year(row, options.today)):
        yield RowError(row.file_line, column, message)
    for column, message in (
        *_future(row, options.today),
        *_odd(row),
        *_without_reflash(row),
        *_of_failure(row, options.window_days),
    ):
        yield RowError(row.file_line, column, message, Severity.WARNING)


_DAYS = ("opened_on", "reflashed_on", "worked_on", "returned_on", "last_seen_on")


def _of_no_year(row: HistoryRow, today: date) -> Iterator[tuple[str, str]]:
    """Days of years that there cannot be."""
    for column in _DAYS:
        day = getattr(row, column)
        try:
            day and check_day(day, today.year, column)
        except BadInput as refused:
            yield column, refused.message


Told = tuple[int, tuple[object, ...]]
"""The line of a row, and what it tells of failures."""


def told_of(row: HistoryRow) -> Told:
    return row.file_line, (row.returned, row.returned_on, row.explained, row.gone_at_road_test)


def told_twice(first: Told, again: HistoryRow) -> Iterator[RowError]:
    """A row whose identity stands before it is not read; a failure that only it tells of is looked at."""
    if again.failed and told_of(again)[1] != first[1]:
        yield RowError(again.file_line, "", _TOLD_BEFORE.format(line=first[0]), Severity.WARNING)


def lost_failures(rows: int) -> RowError:
    """What is said at the end of a file of which such rows were left out."""
    said = "1 row left out for errors tells" if rows == 1 else f"{rows:,} rows left out for errors tell"
    message = f"{said} of a failure, or may. Without it, too many count as cured: correct the file."
    return RowError(0, "", message, Severity.WARNING)


def odometers_not_known(marks: Mapping[str, int]) -> RowError:
    """What is said at the end of a file with such marks ("TMU") under the odometer."""
    said = ", ".join(f"{rows:,} “{mark}”" for mark, rows in Counter(marks).most_common())
    message = f"Read as not known: {said}. Those rows are taken without miles."
    return RowError(0, "odometer", message, Severity.NOTICE)


def taken_as_here(reflashes: int) -> RowError:
    """What is said at the end of a file with a column of ways that is empty for so many reflashes."""
    one = reflashes == 1
    said = "1 reflash does" if one else f"{reflashes:,} reflashes do"
    message = f"{said} not say who did {'it' if one else 'them'}: counted as done here."
    return RowError(0, "way", message, Severity.NOTICE)


def _impossible(row: HistoryRow) -> Iterator[tuple[str, str]]:
    if not row.ro_number and not row.vin:
        yield (
            "ro_number",
            "A row needs an RO number or a VIN to be told from others. Enter one.",
        )
    if not row.complaint and not row.update and row.work_done:
        yield (
            "update",
            _ONLY_TEXT,
        )
    elif not row.complaint and not row.update:
        yield "complaint", "A row needs a complaint or an update. Enter one."
    if row.done_on and row.returned_on and row.returned_on < row.done_on:
        yield (
            "returned_on",
            f"It returned before the reflash of {row.done_on}. Correct a day.",
        )


def _future(row: HistoryRow, today: date) -> Iterator[tuple[str, str]]:
    for column in ("opened_on", "reflashed_on", "returned_on", "last_seen_on"):
        day: date | None = getattr(row, column)
        if day and day > today:
            yield column, f"{day} is in the future. Check the day."


def _odd(row: HistoryRow) -> Iterator[tuple[str, str]]:
    if row.opened_on and row.reflashed_on and row.reflashed_on < row.opened_on:
        yield (
            "reflashed_on",
            f"The reflash is before the RO was opened ({row.opened_on}). Check both.",
        )
    if row.reflashed_on and row.last_seen_on and row.last_seen_on < row.reflashed_on:
        yield "last_seen_on", "It was last seen before the reflash, so nothing is known of it after."
    if row.reflashed_on and not row.update:
        yield "update", "A reflash without the number of its update counts under no bulletin."


def _without_reflash(row: HistoryRow) -> Iterator[tuple[str, str]]:
    """What was heard, tested or paid goes with a reflash; without its day there is none to write it on."""
    still_there = row.gone_at_road_test is RoadTest.STILL_THERE
    told = {"still there at road test": still_there, "comeback": row.returned, "cost": row.cost}
    lost = [name for name, stands in told.items() if stands]
    if lost and not row.reflashed_on and not row.is_told_by_text_alone:
        yield "reflashed_on", _NO_REFLASH.format(lost=", ".join(lost))


def _of_failure(row: HistoryRow, window_days: int) -> Iterator[tuple[str, str]]:
    """Where a failure may be lost, or is put on a day that nobody wrote down."""
    if row.gone_at_road_test is RoadTest.STILL_THERE:
        return
    if row.returned and row.reflashed_on and not row.returned_on:
        yield "returned_on", _DAY_NOT_SAID
    elif row.explained and not row.returned_on and _seen_after(row, window_days):
        yield "other_cause", _KNOWN_OK_PAST_THE_WINDOW.format(window=window_days, seen=row.last_seen_on)
    if row.returned_on and row.came_of_it and not row.failed:
        yield "returned_on", _DAY_OF_A_WORD.format(word=row.came_of_it.value.replace("_", " "))
    if row.event and not row.failed and (speaks_of_failure(row.event) or is_a_day(row.event)):
        yield "event", _NAME_OR_COMEBACK.format(event=row.event)


def _seen_after(row: HistoryRow, window_days: int) -> bool:
    if row.reflashed_on is None or row.last_seen_on is None:
        return False
    return (row.last_seen_on - row.reflashed_on).days > window_days
