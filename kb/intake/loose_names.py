"""What a column's name that may mean several things is read as, by the values that stand under it."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass

from kb.intake.column_names import (
    COMEBACK_NAMES,
    DUPLICATED_NAMES,
    FLASHED_NAMES,
    OPENED_NAMES,
    RESULT_NAMES,
    ROAD_TEST_NAMES,
)
from kb.intake.fields import is_read
from kb.intake.history.history_words import (
    read_came_back,
    read_duplicated,
    read_returned,
    read_road_test,
    says_nothing,
    speaks_of_failure,
    word_of_outcome,
)
from kb.nouns.concerns import FollowUpResult

Values = Sequence[str]
_FIRST = 3
"""Values that must fit where one that does not fit is an error of its row."""
_LIKE_A_DAY = re.compile(r"[0-9]{1,4}[/.\-][0-9]{1,2}[/.\-][0-9]{1,4}")
_FAILURES = (FollowUpResult.CAME_BACK, FollowUpResult.OTHER_CAUSE)


@dataclass(frozen=True, slots=True)
class LooseName:
    """Names that are read as `ours` where their values fit."""

    ours: str
    names: tuple[str, ...]
    fits: Callable[[Values], bool]


def readings(
    name: str, values: Values, known: Collection[str], bare: Callable[[str], str]
) -> list[str] | None:
    """What the column could be read as, best first; empty where its values fit none, None for other names."""
    named = [one for one in LOOSE if one.ours in known and bare(name) in map(bare, one.names)]
    return [one.ours for one in named if one.fits(values)] if named else None


def _days(values: Values) -> bool:
    return all(map(_LIKE_A_DAY.match, values[:_FIRST]))


def _duplicated(values: Values) -> bool:
    return all(is_read(read_duplicated, text) for text in values[:_FIRST])


def _road_tests(values: Values) -> bool:
    """Answers of a road test, and no word for a failure that came later: its rows would be left out."""
    unread = [text for text in values if not is_read(read_road_test, text)]
    return set(values[:_FIRST]).isdisjoint(unread) and not any(
        speaks_of_failure(text) or word_of_outcome(text) in _FAILURES for text in unread
    )


def _days_and_answers(values: Values) -> bool:
    """Mostly days and words for no day; answers alone are no days."""
    days = any(map(_LIKE_A_DAY.match, values))
    return (days or not values) and _mostly(
        _LIKE_A_DAY.match(text) or is_read(read_returned, text) for text in values
    )


def _comebacks(values: Values) -> bool:
    return _mostly(is_read(read_came_back, text) for text in values)


def _mostly(read: Iterable[object]) -> bool:
    """All of none, else more than half: what is not read is an error, and listed."""
    told = [bool(one) for one in read]
    return 2 * sum(told) > len(told) or not told


def _outcomes(values: Values) -> bool:
    """Words for what came of a reflash; where one of them is a failure, half of them are enough."""
    words = list(_words(values))
    known = [one for one in words if one is not None]
    failed = any(one in _FAILURES for one in known)
    return bool(known) and len(known) * (2 if failed else 1) >= len(words)


def _only_outcomes(values: Values) -> bool:
    words = list(_words(values))
    return bool(words) and None not in words


def _words(values: Values) -> Iterator[FollowUpResult | None]:
    return (word_of_outcome(text) for text in values if not says_nothing(text))


LOOSE = (
    LooseName("reflashed_on", FLASHED_NAMES, _days),
    LooseName("opened_on", OPENED_NAMES, _days),
    LooseName("duplicated_before", DUPLICATED_NAMES, _duplicated),
    LooseName("gone_at_road_test", (*ROAD_TEST_NAMES, *RESULT_NAMES), _road_tests),
    LooseName("event", RESULT_NAMES, _outcomes),
    LooseName("came_back", RESULT_NAMES, _only_outcomes),
    LooseName("returned_on", COMEBACK_NAMES, _days_and_answers),
    LooseName("came_back", COMEBACK_NAMES, _comebacks),
)
"""The last resort of a result is `came_back`, where another column holds the events already."""
