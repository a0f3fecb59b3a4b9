"""Any order of the main job's steps, on both databases: few here, thousands by MACHINE_EXAMPLES=200."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest
from hypothesis import Phase, settings
from hypothesis.stateful import run_state_machine_as_test

from kb.desk.context import RunningShop
from kb.records.engine import Records
from tests import postgres
from tests.conftest import StandingClock
from tests.kb.desk.machine.job import Job

pytestmark = pytest.mark.both_databases

FEW, STEPS = 2, 25
EXAMPLES = int(os.environ.get("MACHINE_EXAMPLES", FEW))


def test_any_order_of_steps_keeps_what_was_told_and_refuses_what_cannot_be(
    shop: RunningShop, sqlite_template: Path, request: pytest.FixtureRequest
) -> None:
    engine = shop.records.engine

    def anew() -> tuple[RunningShop, StandingClock]:
        engine.dispose()
        if shop.records.is_sqlite:
            file = Path(engine.url.database or "")
            for left in file.parent.glob("shop.db-*"):
                left.unlink()
            shutil.copyfile(sqlite_template, file)
        else:
            postgres.back_to_the_start(request.getfixturevalue("postgres_url"))
        clock = StandingClock()
        return RunningShop(Records(engine), shop.facts, clock), clock

    job = type("JobOnThis", (Job,), {"anew": staticmethod(anew)})
    chosen = settings(
        max_examples=EXAMPLES,
        stateful_step_count=STEPS,
        deadline=None,
        derandomize=EXAMPLES == FEW,  # the suite draws the same ones; chance is for longer runs
        phases=[Phase.generate],  # each step is a transaction: shrinking would take minutes
    )
    run_state_machine_as_test(job, settings=chosen)
