"""Programming that was started is on the vehicle's pages for everybody, until somebody says how it ended."""

from __future__ import annotations

import pytest

from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.programming import prep
from kb.desk.context import RunningShop
from tests.factories import actor_of
from tests.web.conftest import SignIn

CONCERN = "/concerns/1"
PREP, DURING = f"{CONCERN}/prep", f"{CONCERN}/during"
UNTIL_THEN = "Don't touch key, doors, cables or computer"
STARTED = "Programming was started"


@pytest.fixture
def started(bay: RunningShop, signed_in: SignIn) -> RunningShop:
    """The technician started it, with every line open settled by name."""
    with bay.writing(actor_of(bay, "tech")) as desk:
        for item in prep.prep_list(desk, 1).items:
            if item.line.asks:
                prep.tick(desk, 1, item.line.key, "nothing found")
            elif not item.settled:
                prep.pass_over(desk, 1, item.line.key, "lent by the shop next door")
    signed_in("tech").send(PREP, f"{PREP}/start", {})
    return bay


def test_whoever_opens_the_vehicle_while_it_is_programmed_is_told_and_gets_to_the_big_words(
    started: RunningShop, signed_in: SignIn
) -> None:
    other = signed_in("owner")
    assert "programming started" in other.see("/concerns").text
    for page in (CONCERN, PREP):
        assert STARTED in other.see(page).text
        assert UNTIL_THEN in other.see(page).text
    assert "Start programming" not in other.see(PREP).text
    with started.writing(actor_of(started, "tech")) as desk:
        prep.untick(desk, 1, "wall_power")  # it goes on all the same
    assert UNTIL_THEN in other.see(DURING).text


def test_it_is_over_once_its_end_is_written_down(started: RunningShop, signed_in: SignIn) -> None:
    ended = {
        "module_1": "PCM",
        "result_1": "stopped",
        "update_1": "1",
        "duplicated_before": "yes",
        "why": ["customer insists"],
    }
    signed_in("tech").send(f"{CONCERN}/programming", f"{CONCERN}/programming", ended)
    assert STARTED not in signed_in("owner").see(CONCERN).text
    assert "programming started" not in signed_in("owner").see("/concerns").text


def test_a_start_that_came_to_nothing_is_taken_back(started: RunningShop, signed_in: SignIn) -> None:
    said = signed_in("owner").send(CONCERN, f"{PREP}/not-started", {})
    assert "Taken back: nothing was programmed." in said.text
    assert STARTED not in said.text
    with started.reading(actor_of(started, "tech")) as desk:
        assert read_concern(desk, 1).being_programmed is None
