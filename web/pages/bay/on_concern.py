"""What every page of a concern is shown of it."""

from __future__ import annotations

from typing import Any

from kb.desk.bay.concern.as_it_stands import how_it_stands
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.context import Desk


def on_concern(desk: Desk, concern_id: int) -> dict[str, Any]:
    """Its file, and how it stands today."""
    return {"concern": read_concern(desk, concern_id), "stands": how_it_stands(desk, concern_id)}
