"""A concern that was reflashed today, who is due to be asked, and where its outcome stands."""

from __future__ import annotations

import pytest

from kb.desk.bay.concern import concerns
from kb.desk.bay.outcomes import counted
from kb.desk.bay.programming import programming
from kb.desk.calls import call_list
from kb.desk.context import Desk, RunningShop
from kb.desk.notes import notes
from kb.nouns.concerns import ModuleResult, ProgrammingEventDraft, ReflashResult, RoadTest
from tests.factories import a_concern, a_vehicle, actor_of, an_update
from tests.kb.desk.imports.importing import LEAD, TECH

VIN = "1G4AH59H45G118341"


def reflash(desk: Desk, number: str = "1", **said: object) -> int:
    vehicle = a_vehicle(year=2005, vin=VIN)
    concern = concerns.open_concern(desk, a_concern(ro_number=number, vehicle=vehicle, **said)).id
    module = ModuleResult("PCM", ReflashResult.COMPLETED, 1, concern_ids=(concern,))
    programming.record_event(desk, ProgrammingEventDraft((module,), desk.today, road_test=RoadTest.GONE))
    return concern


@pytest.fixture
def done(shop: RunningShop) -> RunningShop:
    """Concern 1 was reflashed today with note 1."""
    with shop.writing(actor_of(shop, "lead")) as desk:
        notes.write_note(desk, an_update())
        reflash(desk)
    return shop


def reasons(shop: RunningShop) -> list[tuple[int, str]]:
    with shop.reading(TECH) as desk:
        return [(one.concern_id, one.why) for one in call_list.due(desk)]


def standing(shop: RunningShop) -> list[tuple[int, int]]:
    with shop.reading(LEAD) as desk:
        found = counted.count(desk, desk.today).counts
    return list(zip(found.standing.tolist(), found.day.tolist(), strict=True))
