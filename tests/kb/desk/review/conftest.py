"""Two updates to compare."""

from __future__ import annotations

import pytest

from kb.desk.context import RunningShop
from kb.desk.notes import notes
from tests.factories import an_update
from tests.kb.desk.imports.importing import LEAD


@pytest.fixture
def two(shop: RunningShop) -> RunningShop:
    """With updates A and B, notes 1 and 2."""
    with shop.writing(LEAD) as desk:
        for number in ("A", "B"):
            notes.write_note(desk, an_update(number=number))
    return shop
