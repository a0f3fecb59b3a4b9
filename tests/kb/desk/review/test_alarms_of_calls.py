"""An update that nobody knew to be bad before the calls raises its alarm on the day of the calls."""

from __future__ import annotations

from datetime import timedelta

import pytest

from kb.desk.bay.concern import concerns
from kb.desk.bay.programming import programming
from kb.desk.calls import what_was_heard
from kb.desk.context import Desk, RunningShop
from kb.desk.notes import notes
from kb.desk.review import alarms, reports
from kb.desk.review.reports import ReportFilter
from kb.nouns.concerns import (
    FollowUpDraft,
    FollowUpResult,
    ModuleResult,
    ProgrammingEventDraft,
    ReflashResult,
    RoadTest,
)
from tests.conftest import StandingClock
from tests.factories import a_concern, a_vehicle, an_update
from tests.kb.desk.imports.importing import LEAD

BAD, GOOD = 1, 2


def reflash(desk: Desk, number: int, update: int) -> int:
    draft = a_concern(ro_number=str(number), vehicle=a_vehicle(vin=""))
    concern = concerns.open_concern(desk, draft).id
    module = ModuleResult("PCM", ReflashResult.COMPLETED, update, concern_ids=(concern,))
    programming.record_event(desk, ProgrammingEventDraft((module,), desk.today, road_test=RoadTest.GONE))
    return concern


@pytest.fixture
def asked(sqlite_shop: RunningShop, clock: StandingClock) -> RunningShop:
    """Forty reflashes of one day. On day 10 an earlier alarm is answered. All are called on day 92: thirty of
    one update are fine, ten of the other came back, nobody knows since when.
    """
    with sqlite_shop.writing(LEAD) as desk:
        for number in ("A-1", "B-2"):
            notes.write_note(desk, an_update(number=number))
        done = [(reflash(desk, n, BAD if n < 10 else GOOD), n < 10) for n in range(40)]
    clock.move(days=10)
    with sqlite_shop.writing(LEAD) as desk:
        alarms.answer_alarm(desk, BAD, "an earlier scare")
    clock.move(days=82)
    with sqlite_shop.writing(LEAD) as desk:
        for concern, bad in done:
            result = FollowUpResult.CAME_BACK if bad else FollowUpResult.FINE
            what_was_heard.record_follow_up(
                desk, concern, FollowUpDraft(result, desk.today, day_known=not bad)
            )
    return sqlite_shop


def test_comebacks_of_unknown_days_raise_their_alarm_when_they_are_heard_of(asked: RunningShop) -> None:
    with asked.reading(LEAD) as desk:
        found = reports.reflash_report(desk, ReportFilter()).report
        told = {row.update: row.alarm for row in found.rows}
        assert told[GOOD] is None
        assert told[BAD] is not None
        assert told[BAD].since == desk.today
        assert "10 of 10" in told[BAD].sentence
        assert [one for one in found.sentences if one.startswith("Changed: A-1")]


def test_an_alarm_is_no_news_any_more_after_a_window(asked: RunningShop, clock: StandingClock) -> None:
    clock.move(days=90)
    with asked.reading(LEAD) as desk:
        found = reports.reflash_report(desk, ReportFilter()).report
        assert next(row for row in found.rows if row.update == BAD).alarm is not None
        assert not [one for one in found.sentences if one.startswith("Changed")]
        before = reports.reflash_report(desk, ReportFilter(as_of=desk.today - timedelta(1))).report
        assert [one for one in before.sentences if one.startswith("Changed: A-1")]
