"""Browsers over a shop with a little in it."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser

from kb.desk.bay.concern import concerns, facts, findings
from kb.desk.bay.programming import programming
from kb.desk.calls import what_was_heard
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.concerns import (
    FindingResult,
    FollowUpDraft,
    FollowUpResult,
    ModuleResult,
    ProgrammingEventDraft,
    ReflashResult,
    ReportedCode,
    RoadTest,
)
from kb.nouns.vehicles import CalibrationReading, CalibrationSource, LookUp
from tests.conftest import StandingClock
from tests.factories import a_concern, a_note, actor_of, an_update
from tests.web.browsing import Visitor, give_passwords
from tests.web.chromium import chromium, served

SignIn = Callable[[str], Visitor]


@pytest.fixture(scope="session")
def one_chromium() -> Iterator[Browser]:
    with chromium() as found:
        yield found


@pytest.fixture
def browser(one_chromium: Browser) -> Iterator[Browser]:
    """The run's one Chromium, left without a page when the test ends."""
    yield one_chromium
    for context in one_chromium.contexts:
        context.close()


@pytest.fixture
def anybody(sqlite_shop: RunningShop) -> Visitor:
    return Visitor(sqlite_shop)


@pytest.fixture
def signed_in(sqlite_shop: RunningShop) -> SignIn:
    return lambda name: Visitor(sqlite_shop).sign_in(name)


@pytest.fixture
def noted(sqlite_shop: RunningShop) -> RunningShop:
    """A shop with an update and a lesson."""
    with sqlite_shop.writing(actor_of(sqlite_shop, "lead")) as desk:
        notes.write_note(desk, an_update(codes=("P0171",), exact_entries=("NvT 10-B",)))
        notes.write_note(desk, a_note())
    return sqlite_shop


@pytest.fixture
def address(noted: RunningShop) -> Iterator[str]:
    """Where that shop is served; its people have passwords."""
    give_passwords(noted)
    with served(noted) as url:
        yield url


@pytest.fixture
def bay(noted: RunningShop) -> RunningShop:
    """A shop with an update, a lesson, and concern 1, whose module is read and looked up."""
    with noted.writing(actor_of(noted, "tech")) as desk:
        draft = a_concern(codes=(ReportedCode("P0171"),), odometer=79_800)
        opened = concerns.open_concern(desk, draft)
        facts.put_calibration(desk, opened.id, CalibrationReading("PCM", "NV10A", CalibrationSource.READ))
        facts.put_look_up(desk, opened.id, LookUp("PCM", desk.today, "tech", "NV10B"))
        findings.put_finding(desk, opened.id, "fuel_trim", FindingResult.NO)
    return noted


@pytest.fixture
def url(bay: RunningShop) -> Iterator[str]:
    """Where the bay is served; its people have passwords."""
    give_passwords(bay)
    with served(bay) as address:
        yield address


@pytest.fixture
def reflashed(bay: RunningShop, clock: StandingClock) -> RunningShop:
    """The same, with three reflashes of note 1: cured and followed, back on day 40, and never asked."""
    tech = actor_of(bay, "tech")
    for number, heard in (("31", FollowUpResult.FINE), ("32", FollowUpResult.CAME_BACK), ("33", None)):
        with bay.writing(tech) as desk:
            opened = concerns.open_concern(desk, a_concern(ro_number=number))
            module = ModuleResult("PCM", ReflashResult.COMPLETED, 1, concern_ids=(opened.id,))
            event = ProgrammingEventDraft((module,), desk.today, road_test=RoadTest.GONE)
            programming.record_event(desk, event)
        if heard:
            days = 91 if heard is FollowUpResult.FINE else 40
            clock.move(days=days)
            with bay.writing(tech) as desk:
                what_was_heard.record_follow_up(desk, opened.id, FollowUpDraft(heard, desk.today))
            clock.move(days=-days)
    clock.move(days=120)
    return bay
