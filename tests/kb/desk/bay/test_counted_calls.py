"""What the shop's calls teach of how many failures are told unasked: from a history to what silence says."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from sqlmodel import select

from kb.desk.bay.concern import concerns
from kb.desk.bay.outcomes import counted
from kb.desk.bay.programming import programming
from kb.desk.calls import what_was_heard
from kb.desk.context import RunningShop
from kb.nouns.concerns import (
    Duplicated,
    FollowUpDraft,
    FollowUpResult,
    HowHeard,
    ModuleResult,
    ProgrammingEventDraft,
    ReflashResult,
    RoadTest,
)
from kb.outcomes.told_unasked import Calls
from kb.records.tables import ConcernRow
from tests.factories import a_concern
from tests.kb.desk.imports.importing import LEAD, history, take

pytestmark = pytest.mark.both_databases

BACK = {"returned_on": "2026-03-20"}


def test_comebacks_past_their_window_are_counted_by_how_they_were_heard(shop: RunningShop) -> None:
    """Three told unasked, one found, one of which nobody says; one fine at the window, two never asked.

    Reached: the fine and the found, 2 of the 4 that said nothing. At .8 to start, h is then that of
    Beta(4, 1) times (h/k)^3 ((1 - h) .5/k), k = h + (1 - h) .5: below .8, since one of five had to be asked.
    """
    said = [BACK | {"heard": "unasked"}] * 3 + [BACK | {"heard": "asked"}, BACK]
    said += [{"last_seen_on": "2026-06-20"}, {}, {}]
    rows = [{"ro_number": str(i), "complaint": f"bucks {i}"} | one for i, one in enumerate(said)]
    take(shop, "history", history(*rows))
    with shop.reading(LEAD) as desk:
        found = counted.count(desk, desk.today)
    assert found.heard == (3, 1)
    assert found.calls == Calls(3, 1, 0.5)
    assert found.silence.mean_told < 0.8


def test_a_comeback_counts_once_by_what_told_of_it_first(shop: RunningShop) -> None:
    """Ten days after the reflash it was back unasked, and again on asking: one, told unasked. Another was
    back on asking, was reflashed again, and nobody says how the second comeback was heard: one, found.
    """
    at_first = {"ro_number": "1", "complaint": "bucks"}
    take(shop, "history", history(at_first | BACK | {"heard": "unasked"}))
    take(shop, "history", history({"ro_number": "2", "complaint": "stalls"} | BACK | {"heard": "asked"}))
    with shop.writing(LEAD) as desk:
        desk.session.flush()
        both = sorted(row.id or 0 for row in desk.session.exec(select(ConcernRow)))
        again = FollowUpDraft(FollowUpResult.CAME_BACK, date(2026, 4, 20), heard=HowHeard.ASKED)
        what_was_heard.record_follow_up(desk, both[0], again)
        module = ModuleResult("PCM", ReflashResult.COMPLETED, concern_ids=(both[1],))
        day = date(2026, 4, 1)
        event = ProgrammingEventDraft((module,), day, None, None, None, None, None, Duplicated.YES)
        programming.record_event(desk, event)
        programming.record_road_test(desk, both[1], RoadTest.GONE)
        what_was_heard.record_follow_up(
            desk, both[1], FollowUpDraft(FollowUpResult.CAME_BACK, date(2026, 4, 20))
        )
    with shop.reading(LEAD) as desk:
        assert counted.count(desk, desk.today).heard == (1, 1)


def test_how_late_comebacks_were_told_is_known_of_those_written_down_here_and_not_asked_for(
    shop: RunningShop,
) -> None:
    """Back 20 and 50 days ago, written down today and 45 days ago: 20 days late of 20, 5 of 50. Of one found
    on asking, one of an unknown day and those of a file nobody knows how late they were told.
    """
    take(shop, "history", history({"ro_number": "1", "complaint": "bucks"} | BACK))
    told = [(20, 0, HowHeard.NOT_SAID, True), (50, 45, HowHeard.UNASKED, True)]
    told += [(30, 0, HowHeard.ASKED, True), (30, 0, HowHeard.UNASKED, False)]
    with shop.writing(LEAD) as desk:
        for place, (back, written, heard, known) in enumerate(told):
            day = desk.today - timedelta(80)
            concern = concerns.open_concern(desk, a_concern(ro_number=f"8{place}", opened_on=day)).id
            module = ModuleResult("PCM", ReflashResult.COMPLETED, concern_ids=(concern,))
            event = ProgrammingEventDraft((module,), day, None, None, None, None, None, Duplicated.YES)
            programming.record_event(desk, event)
            programming.record_road_test(desk, concern, RoadTest.GONE)
            then = replace(desk, now=desk.now - timedelta(written), today=desk.today - timedelta(written))
            back_on = desk.today - timedelta(back)
            draft = FollowUpDraft(FollowUpResult.CAME_BACK, back_on, day_known=known, heard=heard)
            what_was_heard.record_follow_up(then, concern, draft)
    with shop.reading(LEAD) as desk:
        found = counted.count(desk, desk.today)
    assert found.lags == ((5, 50, 1), (20, 20, 1))
    assert found.silence.told_within[4] < found.silence.told_within[5] < 1.0
