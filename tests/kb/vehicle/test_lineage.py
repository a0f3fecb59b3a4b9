from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.errors import BadInput
from kb.nouns.vehicles import CalibrationReading, CalibrationSource, CalibrationStep, LookUp
from kb.vehicle.lineage import CalibrationState, CalibrationStatus, Lineage

TODAY = date(2026, 11, 25)
LIMIT = 90
STEPS = (CalibrationStep("PCM", ("A1", "A2"), "B1"), CalibrationStep("pcm", ("b 1",), "C1"))


def read(calibration_id: str, source: CalibrationSource = CalibrationSource.READ) -> CalibrationReading:
    return CalibrationReading("PCM", calibration_id, source)


def looked_up(days_ago: int, newest_id: str = "", nothing_newer: bool = False) -> LookUp:
    return LookUp("PCM", TODAY - timedelta(days_ago), "lead", newest_id, nothing_newer)


def status(
    reading: CalibrationReading | None, *look_ups: LookUp, steps: tuple[CalibrationStep, ...] = STEPS
) -> CalibrationStatus:
    return Lineage.of(steps).status(reading, look_ups, TODAY, LIMIT)


@pytest.mark.parametrize(
    ("calibration_id", "state", "newer"),
    [
        ("A1", CalibrationState.SUPERSEDED, ("C1",)),
        (" a2 ", CalibrationState.SUPERSEDED, ("C1",)),
        ("B1", CalibrationState.SUPERSEDED, ("C1",)),
        ("c1", CalibrationState.NEWEST_ON_FILE, ()),
        ("Z9", CalibrationState.NOT_ON_FILE, ()),
        ("  ", CalibrationState.NOT_READ, ()),
    ],
)
def test_an_id_stands_where_the_notes_put_it(
    calibration_id: str, state: CalibrationState, newer: tuple[str, ...]
) -> None:
    found = status(read(calibration_id))
    assert (found.state, found.newer, found.stale) == (state, newer, True)


def test_nothing_read_is_not_read() -> None:
    assert status(None).state is CalibrationState.NOT_READ


def test_an_id_of_another_module_is_not_on_file() -> None:
    other = CalibrationReading("TCM", "A1", CalibrationSource.READ)
    assert Lineage.of(STEPS).status(other, (), TODAY, LIMIT).state is CalibrationState.NOT_ON_FILE


def test_a_fork_names_every_end() -> None:
    fork = (*STEPS, CalibrationStep("PCM", ("B1",), "D1"))
    assert set(status(read("A1"), steps=fork).newer) == {"C1", "D1"}


def test_a_typed_id_is_not_the_newest_until_confirmed_but_may_be_superseded() -> None:
    typed = status(read("C1", CalibrationSource.TYPED))
    assert (typed.state, typed.to_confirm) == (CalibrationState.NOT_READ, True)
    assert status(read("A1", CalibrationSource.TYPED)).state is CalibrationState.SUPERSEDED
    sure = CalibrationReading("PCM", "C1", CalibrationSource.TYPED, confirmed=True)
    assert status(sure).state is CalibrationState.NEWEST_ON_FILE


@pytest.mark.parametrize(("days", "stale"), [(0, False), (LIMIT, False), (LIMIT + 1, True)])
def test_a_look_up_is_stale_after_the_limit_and_not_on_it(days: int, stale: bool) -> None:
    found = status(read("C1"), looked_up(days, "C1"))
    assert (found.state, found.stale) == (CalibrationState.NEWEST_ON_FILE, stale)
    assert found.looked_up_on == TODAY - timedelta(days)


def test_a_look_up_after_the_day_asked_for_is_not_known_yet() -> None:
    assert status(read("C1"), looked_up(-1, "E1")).state is CalibrationState.NEWEST_ON_FILE
    assert status(read("C1"), looked_up(-1, "E1")).looked_up_on is None


def test_the_last_look_up_counts_and_those_of_other_modules_do_not() -> None:
    other = LookUp("TCM", TODAY, "lead", "E1")
    found = status(read("C1"), looked_up(5, "C1"), looked_up(40, "E1"), other)
    assert (found.state, found.looked_up_on) == (CalibrationState.NEWEST_ON_FILE, TODAY - timedelta(5))


def test_a_look_up_that_names_another_id_supersedes_even_what_the_file_does_not_know() -> None:
    for calibration_id in ("C1", "Z9"):
        found = status(read(calibration_id), looked_up(200, "E1"))
        assert (found.state, found.newer) == (CalibrationState.SUPERSEDED, ("E1",))


def test_a_look_up_older_than_the_update_since_done_does_not_call_the_new_id_old() -> None:
    found = status(read("C1"), looked_up(5, "B1"))
    assert found.state is CalibrationState.NEWEST_ON_FILE


def test_the_manufacturers_nothing_newer_decides_over_the_file_while_fresh() -> None:
    fresh = status(read("A1"), looked_up(3, nothing_newer=True))
    assert (fresh.state, fresh.newer, fresh.file_disagrees) == (CalibrationState.NEWEST_ON_FILE, (), True)
    assert status(read("Z9"), looked_up(3, nothing_newer=True)).state is CalibrationState.NEWEST_ON_FILE
    old = status(read("A1"), looked_up(LIMIT + 1, nothing_newer=True))
    assert (old.state, old.newer, old.stale) == (CalibrationState.SUPERSEDED, ("C1",), True)


def test_a_circle_is_refused_with_the_ids_in_it() -> None:
    with pytest.raises(BadInput, match=r"circle.*(A1|C1) →") as refused:
        Lineage.of((*STEPS, CalibrationStep("PCM", ("c1",), "a1")))
    assert set(refused.value.details["ids"]) == {"A1", "B1", "C1"}


def test_an_id_that_replaces_itself_is_a_circle() -> None:
    with pytest.raises(BadInput, match="circle"):
        Lineage.of((CalibrationStep("PCM", ("A1",), "a 1"),))


@st.composite
def forward_steps(draw: st.DrawFn) -> list[CalibrationStep]:
    """Steps that only ever go to a higher number, so that no circle is possible."""
    pairs = draw(st.lists(st.tuples(st.integers(0, 8), st.integers(1, 6)), max_size=14))
    return [CalibrationStep("PCM", (f"ID{old}",), f"ID{old + by}") for old, by in pairs]


def slow_newer(steps: list[CalibrationStep], start: str) -> set[str]:
    """Every ID after this one, by going over all steps until nothing is added."""
    found: set[str] = set()
    for _ in steps:
        found |= {s.new_id for s in steps if s.old_ids[0] == start or s.old_ids[0] in found}
    return found


@given(forward_steps(), st.integers(0, 14))
def test_the_newest_is_never_superseded_and_all_that_is_newer_is_found(
    steps: list[CalibrationStep], number: int
) -> None:
    lineage, name = Lineage.of(steps), f"ID{number}"
    newer = slow_newer(steps, name)
    olds = {s.old_ids[0] for s in steps}
    assert set(lineage.newer_than("PCM", name)) == newer
    state = lineage.status(read(name), (), TODAY, LIMIT).state
    known = name in olds | {s.new_id for s in steps}
    assert (state is CalibrationState.NEWEST_ON_FILE) == (known and name not in olds)
    assert (state is CalibrationState.SUPERSEDED) == (name in olds)
    assert not set(lineage.newest("PCM", name)) & olds


@given(forward_steps().filter(bool), st.data())
def test_a_step_back_along_a_chain_is_always_refused(
    steps: list[CalibrationStep], data: st.DataObject
) -> None:
    old = data.draw(st.sampled_from(steps)).old_ids[0]
    newer = data.draw(st.sampled_from(sorted(slow_newer(steps, old))))
    with pytest.raises(BadInput, match="circle"):
        Lineage.of([*steps, CalibrationStep("PCM", (newer,), old)])
