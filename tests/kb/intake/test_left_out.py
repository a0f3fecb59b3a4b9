"""A filled column that nobody reads is told of, and warned of where failures may be lost with it."""

from __future__ import annotations

from hypothesis import example, given
from hypothesis import strategies as st

from kb.intake.columns import columns_of, own_table, suggest
from kb.intake.formats import FORMATS
from kb.intake.history.history import COLUMNS
from kb.intake.rows import ReadOptions, RowError, Severity
from tests.kb.intake.reading import TODAY, read
from tests.kb.intake.test_history import FULL, history

WARNING, NOTICE = Severity.WARNING, Severity.NOTICE


def told(column: str, *values: str, own: dict[str, str] | None = None) -> list[tuple[Severity, str]]:
    rows = "".join(f'{n},stalls,"{value}"\n' for n, value in enumerate(values))
    data = f"ro_number,complaint,{column}\n{rows}".encode()
    items = FORMATS["history"].read(data, ReadOptions(TODAY, own or {}))
    return [(one.severity, one.message) for one in items if isinstance(one, RowError)]


def test_a_comeback_column_that_is_left_out_says_what_is_lost() -> None:
    values = ["no"] * 30 + ["yes"] * 11 + ["YES"] + ["", "-"]
    assert told("Comeback", *values) == [
        (
            WARNING,
            (
                "Column “Comeback” is left out: 12 rows say “yes”, 30 “no”. "
                "Rows that came back would count as cured. Say what it is read as."
            ),
        )
    ]


def test_a_column_speaks_of_an_outcome_by_its_name_or_by_an_answer() -> None:
    # Names and answers as shops write them: common practice, no source.
    for name in ("Result", "OUTCOME", "Returned", "Cured?", "come-back", "Sold", "FollowUp", "not_fixed"):
        assert [severity for severity, _ in told(name, "x")] == [WARNING], name
    for value in ("came back", "Sold", "not fixed", "cust says it came back Tuesday", "other cause"):
        assert [severity for severity, _ in told("Remarks", "a", value)] == [WARNING], value
    assert told("Remarks", "it came back")[0][1].endswith("write yes in a column “came back”.")
    for name, value in (("Fixed by", "Ines"), ("Tech pay", "80"), ("Brakes", "ok"), ("Wash", "yes")):
        assert [severity for severity, _ in told(name, value)] == [NOTICE], name


def test_any_other_column_is_a_notice_with_two_values_and_no_problem() -> None:
    [(severity, message)] = told("Tech pay", "80", "90", "80", "70")
    assert (severity, message) == (NOTICE, "Column “Tech pay” is left out: 2 rows say “80”, 1 “90”.")
    assert told("Tech pay", "", "n/a", "none") == []
    assert told("", "came back")[0][1].startswith("Column “column 3” is left out: 1 row says “came back”.")
    assert told("Comeback", "yes", own={"Comeback": ""})[0][0] is WARNING, "left out by choice, and said so"
    assert told("Comeback", "no", own={"Comeback": "came_back"}) == []
    assert "…" in told("Remarks", "word " * 40)[0][1]


def test_a_note_s_column_that_is_left_out_is_a_notice() -> None:
    items = FORMATS["notes"].read(b"title,Result\nstalls,came back\n", ReadOptions(TODAY))
    assert [one.severity for one in items if isinstance(one, RowError)] == [NOTICE]


def test_a_failure_that_is_left_out_with_its_row_is_said_at_the_end() -> None:
    bad = [FULL | {"ro_number": "1", "returned_on": "last spring"}, FULL | {"ro_number": "2", "cost": "x"}]
    bad.append(FULL | {"ro_number": "3", "cost": "x", "event": "came back"})
    found = [one.message for one in read("history", history(FULL, *bad)).warnings if not one.line]
    assert found == [
        (
            "2 rows left out for errors tell of a failure, or may. "
            "Without it, too many count as cured: correct the file."
        )
    ]
    assert read("history", history(FULL, bad[1])).warnings == []


def test_a_repeat_that_alone_tells_of_a_failure_is_to_be_looked_at() -> None:
    result = read("history", history(FULL, FULL | {"returned_on": "2026-04-01"}, FULL | {"cost": "5"}))
    assert (len(result.rows), result.summary.doubles) == (1, 2)
    [warning] = result.warnings
    assert (warning.line, "stands in line 2" in warning.message) == (3, True)


def test_a_result_column_is_read_beside_a_column_of_events_and_a_day_of_return() -> None:
    file = b"""ro_number,complaint,event,Result,Comeback,Comeback date
1,stalls,E-1,came back,yes,4/1/2026
2,stalls,E-2,sold,no,
"""
    found = suggest(columns_of(own_table(file)), COLUMNS)
    assert (found["event"], found["Result"], found["Comeback date"]) == ("event", "came_back", "returned_on")
    assert found["Comeback"] == "", "two answers to one question: the warning names the one left out"


def test_a_word_for_a_failure_far_down_the_file_decides_what_a_result_is() -> None:
    head = "ro_number,complaint,Result\n" + "".join(f"{n},stalls,fixed\n" for n in range(900))
    assert suggest(columns_of(own_table(head.encode())), COLUMNS)["Result"] == "gone_at_road_test"
    assert (
        suggest(columns_of(own_table(f"{head}901,stalls,came back\n".encode())), COLUMNS)["Result"] == "event"
    )


@given(
    st.lists(st.sampled_from(["yes", "no", "came back", "2026-04-01", "sold", "unknown", "?"]), min_size=1),
    st.sampled_from(["Comeback", "Came back?", "Returned", "Result", "Outcome", "Repeat"]),
)
@example(["came back", "2026-04-01"], "Result")
def test_no_comeback_goes_in_silence_whatever_the_column_is_called(values: list[str], name: str) -> None:
    """Slow twin: a yes, a day or came back under such a name is a failure, an error or a warning."""
    rows = "".join(f"{n},stalls,N-1,2026-03-02,yes,2026-08-01,{value}\n" for n, value in enumerate(values))
    head = "ro_number,complaint,update,reflashed_on,gone_at_road_test,last_seen_on"
    data = f"{head},{name}\n{rows}".encode()
    result = read("history", data, suggest(columns_of(own_table(data)), COLUMNS))
    failed = {row.ro_number for row in result.rows if row.failed}
    refused = {str(one.line - 2) for one in (*result.errors, *result.warnings)}
    all_warned = any(one.field == name for one in result.warnings)
    meant = ["came back", "2026-04-01"] + (["yes"] if name not in ("Result", "Outcome") else [])
    for n, value in enumerate(values):
        assert value not in meant or all_warned or str(n) in failed | refused
