"""What the columns of a history row say of its comeback, put together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from kb.intake.history.history_row import HistoryRow
from kb.intake.history.history_words import CameBack, is_unknown
from kb.nouns.concerns import FollowUpResult

Odd = tuple[str, str]
"""A column and what is odd there."""


def put_together(
    row: HistoryRow, returned: CameBack, back: CameBack, as_written: str
) -> tuple[HistoryRow, tuple[Odd, ...]]:
    """The row with what `returned_on` and `came_back` say beside its event, and where they differ.

    `as_written` is the answer under `came_back`. The day of `returned_on` goes before that of `came_back`;
    another cause before any other word.
    """
    explained = back.result is FollowUpResult.OTHER_CAUSE
    said_before = explained and row.came_of_it is FollowUpResult.CAME_BACK
    whole = replace(
        row,
        came_of_it=back.result if explained else row.came_of_it or back.result,
        returned_on=returned.day or back.day or row.returned_on,
        came_back=returned.came_back or back.came_back or said_before,
    )
    return whole, tuple(_odd(whole, returned, back, as_written))


def _odd(row: HistoryRow, returned: CameBack, back: CameBack, as_written: str) -> Iterator[Odd]:
    if row.returned and (returned.denied or back.denied):
        yield "returned_on" if returned.denied else "came_back", _DENIED
    if returned.day and back.day and returned.day != back.day:
        yield "came_back", _TWO_DAYS.format(here=back.day, taken=returned.day)
    if is_unknown(as_written) and not row.failed:
        yield "came_back", _NOBODY_KNOWS.format(answer=as_written)


_DENIED = (
    "One column says that it came back, another that it did not: it counts as a comeback. "
    "Correct the one that is wrong."
)
_TWO_DAYS = "It came back on {here} by this column and on {taken} by returned_on, which was taken."
_NOBODY_KNOWS = "“{answer}” does not say whether it came back: no comeback is counted. Write yes if it did."
