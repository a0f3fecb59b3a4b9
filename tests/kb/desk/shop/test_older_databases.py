"""A database of an older version counts, once it is upgraded, as one that was always of today's."""

from __future__ import annotations

import pytest
from alembic import command
from sqlalchemy import text
from sqlmodel import col, select

from kb.desk import settings
from kb.desk.bay.concern import closing, concerns
from kb.desk.bay.outcomes import counted, observed
from kb.desk.bay.programming import programming, release
from kb.desk.calls import call_list, what_was_heard
from kb.desk.context import Desk, RunningShop
from kb.nouns.concerns import Ending, FollowUpDraft, FollowUpResult, RoadTest
from kb.outcomes.tally import tally
from kb.records.migrate import alembic_config, migrate
from kb.records.tables import Outcome
from tests.conftest import StandingClock
from tests.factories import a_concern
from tests.kb.desk.bay.test_counted_once import a_shop, sitting
from tests.kb.desk.imports.importing import LEAD
from tests.kb.outcomes.test_story import groups

pytestmark = pytest.mark.both_databases


def test_outcomes_counted_by_older_rules_are_counted_by_todays_after_the_upgrade(
    shop: RunningShop, clock: StandingClock
) -> None:
    with shop.writing(LEAD) as desk:
        _, concern = a_shop(desk)
        sitting(desk, concern, {"PCM": 1, "TCM": 1})
        others = [concerns.open_concern(desk, a_concern(ro_number=n)).id for n in ("7", "8", "9")]
        for one in others:
            sitting(desk, one, {"PCM": 1})
    clock.move(days=120)
    with shop.writing(LEAD) as desk:
        said = FollowUpDraft(FollowUpResult.NEW_COMPLAINT, desk.today)
        what_was_heard.record_follow_up(desk, others[0], said)
        closing.close_concern(desk, others[1], Ending.OTHER_CAUSE, other_cause="hose")
    engine = shop.records.engine
    with engine.execution_options(beforeflash_writes=True).begin() as connection:
        command.downgrade(alembic_config(connection), "0005")
        # What the rules before wrote: every module of a sitting, and both as free of the concern to day 120.
        old = "UPDATE outcome SET counted_as = 1, event_kind = 4, event_day = 120, heard_day = :day"
        told = f"{old} WHERE concern_id IN (:first, :second)"
        day = {"day": clock().date().toordinal()}
        connection.execute(text(told), day | {"first": others[0], "second": others[1]})
        connection.execute(text("UPDATE outcome SET counted_as = 1 WHERE counted_as = 2"))
    migrate(engine)
    shop.memory.forget()
    with shop.reading(LEAD) as desk:
        rule = settings.current(desk).window_rule()
        one_by_one = [one for some in observed.gather(desk, desk.today).values() for one in some]
        assert len(one_by_one) == 4
        assert groups(counted.count(desk, desk.today).counts) == groups(tally(one_by_one, rule.days))


def test_what_had_ended_in_its_dates_alone_has_ended_in_what_reports_group_by(
    shop: RunningShop, clock: StandingClock
) -> None:
    """One whose road test could not say, updated by air on day 25: before, its kind was NOT_KNOWN (7)."""
    with shop.writing(LEAD) as desk:
        _, unsure = a_shop(desk)
        sitting(desk, unsure, {"PCM": 1})
        programming.record_road_test(desk, unsure, RoadTest.CANNOT_SAY)
        silent = concerns.open_concern(desk, a_concern(ro_number="7")).id
        sitting(desk, silent, {"PCM": 1})
    clock.move(days=25)
    with shop.writing(LEAD) as desk:
        by_air = FollowUpDraft(FollowUpResult.UPDATED_BY_AIR, desk.today)
        what_was_heard.record_follow_up(desk, unsure, by_air)
        before, ended_on = columns(desk), desk.today
        counts = groups(counted.count(desk, desk.today).counts)
    engine = shop.records.engine
    with engine.execution_options(beforeflash_writes=True).begin() as connection:
        command.downgrade(alembic_config(connection), "0015")
        old = "UPDATE outcome SET counted_as = 1, event_kind = 7, event_day = 0, count_ends_on = :day"
        connection.execute(text(f"{old} WHERE concern_id = :concern"), {"day": ended_on, "concern": unsure})
    migrate(engine)
    shop.memory.forget()
    clock.move(days=95)
    with shop.reading(LEAD) as desk:
        assert columns(desk) == before
        assert groups(counted.count(desk, ended_on).counts) == counts
        assert [one.concern_id for one in call_list.due(desk)] == [silent]


def columns(desk: Desk) -> list[tuple[int, ...]]:
    """What reports group by, of each outcome."""
    rows = desk.session.execute(select(Outcome).order_by(col(Outcome.id))).scalars()
    return [(one.counted_as, one.event_kind, one.event_day, one.heard_day) for one in rows]


def test_what_was_said_of_the_cameras_is_brought_over_as_not_done_or_not_required(shop: RunningShop) -> None:
    """The answer "required" did not say whether it was done: it is open again. No source was asked for."""
    answers = {"required": "required_not_done", "not required": "not_required", "unknown": "unknown"}
    with shop.writing(LEAD) as desk:
        ids = [concerns.open_concern(desk, a_concern(ro_number=n)).id for n in ("1", "2", "3")]
    engine = shop.records.engine
    tick = (
        'INSERT INTO prep_tick (concern_id, item, measured, passed_over, "by", at) '
        "VALUES (:concern, 'release-cameras', :said, '', 'tech', '2026-10-01 12:00:00')"
    )
    with engine.execution_options(beforeflash_writes=True).begin() as connection:
        command.downgrade(alembic_config(connection), "0008")
        for concern, said in zip(ids, answers, strict=True):
            connection.execute(text(tick), {"concern": concern, "said": said})
    migrate(engine)
    shop.memory.forget()
    with shop.reading(LEAD) as desk:
        told = [release.release_list(desk, one).cameras for one in ids]
        open_then = [release.release_list(desk, one).cameras_open for one in ids]
    assert [one.answer for one in told] == list(answers.values())
    assert [bool(one) for one in open_then] == [True, False, True]
    assert [dict(one.said) for one in told] == [{}, {}, {}]
