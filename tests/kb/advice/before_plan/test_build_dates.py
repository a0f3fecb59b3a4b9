"""What a complaint tells of the build date against what a bulletin names. Dates are worked out by hand."""

from __future__ import annotations

import pytest

from kb.advice.before_plan.build_dates import built_otherwise

LATER, EARLIER = "Built after December 31, 2020", "Built before January 1, 2021"


@pytest.mark.parametrize(
    ("complaint", "after", "before"),
    [
        ("no crank, door label says built 01/21", True, False),
        ("build date 12/20", False, True),
        ("built in March 2021", True, False),
        ("mfg sept 2019, no comm", False, True),
        ("build 6/15/21", True, False),
        ("built in 2020", False, True),  # all of that year
        ("no crank since 01/21", False, False),  # no build date
        ("a dash built up of dust, 12 miles", False, False),
    ],
)
def test_a_build_date_speaks_for_one_side(complaint: str, after: bool, before: bool) -> None:
    assert built_otherwise(complaint, LATER) is after
    assert built_otherwise(complaint, EARLIER) is before


def test_an_entry_without_a_build_date_is_never_met_by_one() -> None:
    assert not built_otherwise("built 01/21", "The rear splice is green")
