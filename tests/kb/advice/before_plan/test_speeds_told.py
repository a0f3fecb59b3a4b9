"""A speed that is told against the one a bulletin prints. Distances to the range are worked out by hand."""

from __future__ import annotations

import pytest

from kb.advice.before_plan.speeds_told import driven_otherwise

STEADY, STOPPING = "Warm, light throttle, 40 to 50 mph.", "Closed throttle, 8 to 3 mph."


@pytest.mark.parametrize(
    ("complaint", "far"),
    [
        ("vibrates at 70", "at 70"),
        ("shudder at 65 mph", "65 mph"),  # 15 above
        ("shudder at 64 mph", None),  # 14 above
        ("shakes at 25 mph only", "25 mph"),  # 15 below
        ("vibrates 70 to 75 mph, smooth road", "70 to 75 mph"),
        ("shakes at 45, worse at 70", None),  # one of them is inside
        ("shudder at 70 km/h", None),  # 43 mph
        ("shudder at 45 mph, oil never changed in 90,000 miles", None),
        ("shudder, started at 80,000 miles", None),
        ("shudder at 90 degrees outside", None),
        ("shudder on light throttle", None),
    ],
)
def test_a_speed_far_outside_the_printed_range_is_met(complaint: str, far: str | None) -> None:
    assert [one.met_by for one in driven_otherwise(complaint, STEADY)] == (
        [f"you said: {far}"] if far else []
    )


def test_a_range_that_falls_to_a_stop_is_no_speed_to_drive_at() -> None:
    assert driven_otherwise("off the freeway at 70, slams when it stops", STOPPING) == ()
