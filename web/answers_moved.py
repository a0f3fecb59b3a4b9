"""What somebody's answers of today moved, said after each of them."""

from __future__ import annotations

from kb.desk.calls import what_answers_moved
from web.visits import Visit


def with_moved(visit: Visit, said: str, concern_id: int, *, road_tested: bool = False) -> str:
    """The sentence with what it moved; as it is where nothing of it counts."""
    with visit.reading() as desk:
        told = what_answers_moved.moved_today(desk, concern_id, road_tested=road_tested)
    return f"{said} {told.sentence}" if told else said
