from __future__ import annotations

from datetime import date

import pytest

from demo_data.simulate import simulate
from demo_data.story import Story

TODAY = date(2026, 11, 26)
"""A day of the story's weekday, so that it is the newest day of the story."""


@pytest.fixture(scope="session")
def story() -> Story:
    return simulate(TODAY)


@pytest.fixture(scope="session")
def many_stories() -> list[Story]:
    return [simulate(TODAY, seed) for seed in range(12)]
