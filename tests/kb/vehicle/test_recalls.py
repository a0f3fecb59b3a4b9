"""How recalls on file and a look-up by VIN stand together."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.nouns.recalls import RecallKind, RecallOnFile, RecallResult, RecallSaid, RecallsOfConcern
from kb.nouns.vehicles import Applies
from kb.vehicle.recalls import kind_of, settle

DAY = date(2026, 10, 31)
NUMBERS = ("26T001", "26T002", "26T003")
ON_FILE = [
    RecallOnFile(at, number, "Tarn Alto", RecallKind.RECALL, Applies.YES, "applies", touches)
    for at, (number, touches) in enumerate(zip(NUMBERS, ((), ("stall",), ()), strict=True))
]


def said(number: str, result: str, touches: bool | None = None) -> RecallSaid:
    return RecallSaid(number, RecallResult(result), "Ada", DAY, touches)


def results(found: RecallsOfConcern) -> dict[str, str]:
    return {one.number: one.result.value for one in found.recalls}


def test_nothing_looked_up_never_reads_as_clear_and_what_touches_comes_first() -> None:
    found = settle(ON_FILE, [])
    assert found.gate == ""
    assert [one.number for one in found.recalls] == ["26T002", "26T001", "26T003"]
    assert settle([], []).gate == "", "none on file is not none open"
    assert settle([], [said("26t-003", "done")]).gate == "", "nor is one done that is not on file"


def test_none_open_is_fine_and_every_one_settled_by_itself_too_but_not_some() -> None:
    assert settle(ON_FILE, [said("", "none_open")]).gate == "fine"
    some = [said("26T001", "done"), said("26T002", "not_for_this_vin")]
    assert settle(ON_FILE, some).gate == ""
    assert settle(ON_FILE, [*some, said("26T003", "done")]).gate == "fine"


def test_an_open_one_takes_none_open_back_and_none_open_closes_it() -> None:
    found = settle(ON_FILE, [said("", "none_open"), said("26t-003", "open")])
    assert (found.gate, found.none_open, found.recalls[0].number) == ("fault", None, "26T003")
    closed = settle(ON_FILE, [said("26T003", "open"), said("26T001", "done"), said("", "none_open")])
    assert (closed.gate, results(closed)) == ("fine", {"26T002": "", "26T001": "done", "26T003": ""})


def test_a_number_that_is_not_on_file_stands_among_them_and_touches_until_somebody_says_otherwise() -> None:
    found = settle(ON_FILE, [said("26T999", "open")])
    assert found.recalls[0].touches
    assert (found.recalls[0].note_id, found.on_file) == (None, 3)
    assert not settle(ON_FILE, [said("26T999", "open", touches=False)]).recalls[0].touches


@given(
    st.lists(
        st.tuples(
            st.sampled_from(["", *NUMBERS]),
            st.sampled_from(["open", "done", "not_for_this_vin", "none_open", ""]),
        ),
        max_size=12,
    )
)
def test_what_was_said_last_counts(entries: list[tuple[str, str]]) -> None:
    """The slow obvious twin: of each number the last entry, unless "none open" came after it was open."""
    entries = [("", result) if result == "none_open" else (number, result) for number, result in entries]
    found = settle(ON_FILE, [said(*one) for one in entries])
    for number in NUMBERS:
        mine = [at for at, (of, _) in enumerate(entries) if of == number]
        last = entries[mine[-1]][1] if mine else ""
        none_since = bool(mine) and ("", "none_open") in entries[mine[-1] :]
        assert results(found).get(number, "") == ("" if last == "open" and none_since else last)
    spoken = max((at for at, entry in enumerate(entries) if entry == ("", "none_open")), default=None)
    if spoken is not None:
        since = entries[spoken + 1 :]
        taken_back = any(result == "open" or (of, result) == ("", "") for of, result in since)
        assert (found.none_open is None) == taken_back
    assert (found.gate == "fault") == any(one.is_open for one in found.recalls)


@pytest.mark.parametrize(
    ("kind", "source", "title", "expected"),
    [
        ("bulletin", "recall communications", "TARN ALTO: stalls", RecallKind.RECALL),
        ("bulletin", "shop", "Safety recall 26T-004: fuel line", RecallKind.RECALL),
        ("bulletin", "manufacturer communications", "Service campaign: gateway", RecallKind.CAMPAIGN),
        ("bulletin", "shop", "Extended coverage of the throttle body", RecallKind.CAMPAIGN),
        ("bulletin", "shop", "Seat does not recall its position", None),
        ("lesson", "shop", "Recall 26T-004 took two hours", None),
    ],
)
def test_a_recall_is_known_by_its_source_or_by_a_bulletins_own_title(
    kind: str, source: str, title: str, expected: RecallKind | None
) -> None:
    assert kind_of(kind, source, title) is expected
