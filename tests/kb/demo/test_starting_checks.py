from __future__ import annotations

from demo_data.families import families
from demo_data.truth import CHECKS
from kb.advice.before_plan.checks_of_updates import starts_engine
from kb.nouns.bay.gates import GATES
from kb.nouns.starting_checks import STARTING_CHECKS, System

# retyped from the project's own page on shop practice, in its order: minutes and the two counts of ten
# (common practice, no source)
TABLE = """
20 8 4|6 2 5|4 1 4|15 1 3|15 1 3|20 5 2|6 2 5|12 1 4|20 1 3|15 1 5|10 1 3|5 1 3|6 1 3|4 1 2|15 1 4|15 2 6
8 3 6|20 7 4|45 7 2|8 1 3|5 1 4|10 9 6|5 2 5|12 1 5|10 1 4
"""


def test_the_25_checks_have_the_minutes_and_counts_that_shops_start_with() -> None:
    rows = [tuple(map(int, row.split())) for row in TABLE.strip().replace("\n", "|").split("|")]
    found = [(one.minutes, one.yes_in_10_cured, one.yes_in_10_not) for one in STARTING_CHECKS]
    assert len(found) == 25
    assert found == rows


def test_every_check_reads_as_a_button_with_two_results_of_its_own() -> None:
    assert len({one.key for one in STARTING_CHECKS}) == 25
    for one in STARTING_CHECKS:
        assert one.yes_word != one.no_word
        assert one.yes_word.upper() == one.yes_word
        assert one.no_word.upper() == one.no_word
        assert one.question.endswith("?")
        assert len(one.name) <= 42
        assert one.source == "common practice, no source"
    assert {one.system for one in STARTING_CHECKS} == set(System) - {System.NOTE}


def test_checks_that_tell_much_the_same_share_a_group() -> None:
    groups: dict[str, set[int]] = {}
    for number, one in enumerate(STARTING_CHECKS, 1):
        groups.setdefault(one.group, set()).add(number)
    together = [group for name, group in groups.items() if name and len(group) > 1]
    assert {7, 8, 13} in together
    assert {15, 16, 17} in together
    assert {5, 23} in together
    assert any({3, 20, 21} <= group for group in together)


def test_gates_are_not_checks() -> None:
    assert not {gate.key for gate in GATES} & {one.key for one in STARTING_CHECKS}
    assert {"battery", "calibration_read", "codes_saved", "recall_checked"} <= {gate.key for gate in GATES}


def test_the_scenario_knows_a_truth_for_every_check_and_attaches_only_fitting_ones() -> None:
    systems = {one.key: one.system for one in STARTING_CHECKS}
    assert set(CHECKS) == set(systems)
    for one in families():
        assert set(one.checks) <= set(systems)
        assert all(cause.shown_by in ("", *one.checks) for cause in one.causes)


def test_which_of_them_start_the_engine() -> None:
    """Read by hand, one by one: driven, run, cranked, or under load."""
    started = {
        *("bulletin_conditions", "fuel_trim", "fuel_pressure", "misfire_stays", "relative_compression"),
        *("purge_valve", "transmission_fluid", "converter_slip", "same_shift", "block_spread"),
    }
    found = {
        one.key for one in STARTING_CHECKS if starts_engine(one.name, one.question, ", ".join(one.needs))
    }
    assert found == started
