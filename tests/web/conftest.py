"""Browsers over a shop with a little in it."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from kb.desk import concerns, facts, findings, notes
from kb.desk.context import RunningShop
from kb.nouns.concerns import FindingResult, ReportedCode
from kb.nouns.vehicles import CalibrationReading, CalibrationSource, LookUp
from tests.factories import a_concern, a_note, actor_of, an_update
from tests.web.browsing import Visitor

SignIn = Callable[[str], Visitor]


@pytest.fixture
def anybody(sqlite_shop: RunningShop) -> Visitor:
    return Visitor(sqlite_shop)


@pytest.fixture
def signed_in(sqlite_shop: RunningShop) -> SignIn:
    return lambda name: Visitor(sqlite_shop).sign_in(name)


@pytest.fixture
def bay(sqlite_shop: RunningShop) -> RunningShop:
    """A shop with an update, a lesson, and concern 1, whose module is read and looked up."""
    with sqlite_shop.writing(actor_of(sqlite_shop, "lead")) as desk:
        notes.write_note(desk, an_update(codes=("P0171",), exact_entries=("NvT 10-B",)))
        notes.write_note(desk, a_note())
    with sqlite_shop.writing(actor_of(sqlite_shop, "tech")) as desk:
        draft = a_concern(codes=(ReportedCode("P0171"),), odometer=79_800)
        opened = concerns.open_concern(desk, draft)
        facts.put_calibration(desk, opened.id, CalibrationReading("PCM", "NV10A", CalibrationSource.READ))
        facts.put_look_up(desk, opened.id, LookUp("PCM", desk.today, "tech", "NV10B"))
        findings.put_finding(desk, opened.id, "fuel_trim", FindingResult.NO)
    return sqlite_shop
