"""Whatever tells of a comeback in a history is read, or asks somebody to look; it never goes in silence.

The words are those that shops write: common practice, no source.
"""

from __future__ import annotations

from datetime import date

import pytest

from kb.intake.history.history_row import HistoryRow
from kb.nouns.concerns import FollowUpResult
from kb.nouns.shop.ways import Way
from tests.kb.intake.reading import Result
from tests.kb.intake.test_history import one

SOLD, BACK, CAUSE = FollowUpResult.SOLD, FollowUpResult.CAME_BACK, FollowUpResult.OTHER_CAUSE


def told(result: Result) -> HistoryRow:
    assert result.errors == []
    (row,) = result.rows
    return row


@pytest.mark.parametrize("column", ["returned_on", "came_back"])
@pytest.mark.parametrize("word", ["yes", "Y", "came back", "Comeback", "returned", "came-back"])
def test_a_comeback_without_its_day_is_read_and_asks_for_the_day(column: str, word: str) -> None:
    result = one(**{column: word})
    row = told(result)
    assert (row.returned, row.returned_on) == (True, None)
    [warning] = result.warnings
    assert (warning.field, "the day is not said" in warning.message) == ("returned_on", True)


@pytest.mark.parametrize("word", ["unknown", "date unknown", "?"])
def test_an_unknown_day_of_return_is_a_comeback_and_an_unknown_answer_is_asked_after(word: str) -> None:
    assert told(one(returned_on=word)).returned
    result = one(came_back=word)
    assert not told(result).returned
    assert "does not say whether it came back" in result.warnings[0].message


@pytest.mark.parametrize("column", ["returned_on", "came_back"])
@pytest.mark.parametrize("word", ["", "no", "N", "none", "n/a", "-", "No comeback", "never", "0"])
def test_what_did_not_come_back_is_told_so_without_a_word(column: str, word: str) -> None:
    result = one(**{column: word})
    assert told(result) == told(one())
    assert result.warnings == []


@pytest.mark.parametrize("column", ["returned_on", "came_back"])
def test_a_day_is_the_day_it_came_back_under_either_column(column: str) -> None:
    result = one(**{column: "2026-04-01"})
    row = told(result)
    assert (row.returned, row.returned_on, result.warnings) == (True, date(2026, 4, 1), [])
    assert told(one(came_back="yes", returned_on="2026-04-01")).returned_on == date(2026, 4, 1)


@pytest.mark.parametrize(
    ("said", "what"),
    [
        ({"came_back": "no", "returned_on": "2026-04-01"}, "it counts as a comeback"),
        ({"came_back": "no", "event": "came back"}, "it counts as a comeback"),
        ({"returned_on": "none", "came_back": "yes"}, "it counts as a comeback"),
        ({"returned_on": "2026-04-01", "came_back": "2026-04-02"}, "2026-04-01 by returned_on"),
        ({"event": "fixed", "came_back": "yes"}, "the day is not said"),
        ({"event": "sold", "came_back": "yes"}, "the day is not said"),
    ],
)
def test_where_columns_differ_the_failure_counts_and_somebody_is_asked_to_look(
    said: dict[str, str], what: str
) -> None:
    result = one(**said)
    assert told(result).returned
    assert any(what in warning.message for warning in result.warnings)


def test_words_of_either_column_keep_what_the_other_says() -> None:
    assert told(one(came_back="sold")).came_of_it is SOLD
    row = told(one(event="came back", came_back="other cause"))
    assert (row.came_of_it, row.returned, row.explained) == (CAUSE, True, True)
    assert told(one(event="not fixed")).came_of_it is BACK


def test_an_answer_nobody_knows_keeps_its_row_out_with_an_error() -> None:
    for column in ("returned_on", "came_back"):
        result = one(**{column: "last spring"})
        assert ([e.field for e in result.errors], result.rows) == ([column], [])


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"event": "came back 4/1"}, "event"),
        ({"event": "customer says comeback"}, "event"),
        ({"event": "sold", "returned_on": "2026-04-01"}, "returned_on"),
        ({"event": "new complaint", "returned_on": "2026-04-01"}, "returned_on"),
    ],
)
def test_what_may_be_a_comeback_and_is_read_as_none_is_to_be_looked_at(
    said: dict[str, str], field: str
) -> None:
    result = one(**said)
    assert not told(result).failed
    assert [warning.field for warning in result.warnings] == [field]


@pytest.mark.parametrize("said", [{"other_cause": "cracked hose"}, {"event": "other cause"}])
def test_another_cause_without_a_day_in_a_vehicle_seen_past_the_window_is_to_be_looked_at(
    said: dict[str, str],
) -> None:
    """design.md section 6 puts it on the day last seen; the reflash was on March 2, so day 90 is May 31."""
    for seen, warned in (("2026-05-31", False), ("2026-06-01", True)):
        found = [w for w in one(**said, last_seen_on=seen).warnings if w.field == "other_cause"]
        assert bool(found) is warned
    assert found[0].message == (
        "It counts as cured at 90 days, since it was known to be OK to 2026-06-01. "
        "Enter returned_on if the concern was back before."
    )
    for more in ({"returned_on": "2026-04-01"}, {"gone_at_road_test": "no"}, {"came_back": "yes"}):
        warnings = one(**said, **more, last_seen_on="2026-06-01").warnings
        assert "other_cause" not in {w.field for w in warnings}


@pytest.mark.parametrize("update", ["NV-24-101", ""])
@pytest.mark.parametrize(
    ("said", "lost"),
    [
        ({"came_back": "yes"}, "comeback"),
        ({"returned_on": "2026-04-01", "cost": "80"}, "comeback, cost"),
        ({"cost": "80"}, "cost"),
        ({"gone_at_road_test": "no"}, "still there at road test"),
    ],
)
def test_what_needs_a_reflash_and_stands_without_its_day_is_to_be_looked_at(
    said: dict[str, str], lost: str, update: str
) -> None:
    [warning] = one(**{"reflashed_on": "", "update": update, "cost": ""} | said).warnings
    assert warning.field == "reflashed_on"
    assert warning.message == (
        f"The day of the reflash is not said, so this counts nowhere: {lost}. "
        "Enter reflashed_on if it was reflashed."
    )
    assert "reflashed_on" not in {each.field for each in one(**{"update": update} | said).warnings}


def test_no_cause_is_no_other_cause() -> None:
    for said in ("n/a", "None", "no", "-"):
        assert not told(one(other_cause=said)).failed


@pytest.mark.parametrize(("word", "read"), [("unasked", "unasked"), ("Asked", "asked"), ("", ""), ("-", "")])
def test_how_an_answer_was_heard_is_read_and_empty_says_nothing(word: str, read: str) -> None:
    assert told(one(returned_on="2026-04-01", heard=word)).heard == read


def test_a_word_that_says_neither_costs_no_row_and_is_named() -> None:
    result = one(returned_on="2026-04-01", heard="by pigeon")
    assert told(result).returned
    [warning] = result.warnings
    assert (warning.field, "Write unasked or asked" in warning.message) == ("heard", True)


@pytest.mark.parametrize(
    ("word", "read"),
    [
        ("here", Way.HERE),
        ("Mobile Programmer", Way.MOBILE),
        ("sublet", Way.MOBILE),
        ("dealer_paid", Way.DEALER_PAID),
        ("Dealer, free", Way.DEALER_FREE),
        ("unknown", None),
    ],
)
def test_who_did_it_is_read_and_what_is_not_told_is_told_of(word: str, read: Way | None) -> None:
    result = one(way=word)
    assert told(result).way is read
    said = [notice.message for notice in result.notices]
    assert said == ([] if read else ["1 reflash does not say who did it: counted as done here."])


def test_a_word_that_does_not_say_who_did_it_keeps_the_row_out_and_names_what_is_taken() -> None:
    result = one(way="Pete")
    [error] = result.errors
    assert (result.rows, error.field) == ([], "way")
    assert error.message == (
        '"Pete" does not say who did it. Write here, mobile programmer, dealer paid or dealer free, or leave '
        "it empty."
    )
