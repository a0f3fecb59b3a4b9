"""The story as a shop would live it: in order, complete, the same every time."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import fields, is_dataclass
from datetime import date, timedelta
from typing import Any

import pytest

from demo_data.families import families
from demo_data.shop import Subscription
from demo_data.simulate import simulate
from demo_data.story import (
    Bought,
    Closed,
    FollowedUp,
    Found,
    Opened,
    Programmed,
    Story,
    StoryEvent,
    Truth,
)
from kb.nouns.concerns import FindingResult, ReflashResult
from kb.nouns.shop.ways import Way
from kb.nouns.vehicles import Vehicle
from tests.kb.demo.conftest import TODAY


def _concerns_of(event: StoryEvent) -> set[str]:
    if isinstance(event.what, Programmed):
        return {concern for some in event.what.concerns for concern in some}
    return set() if isinstance(event.what, Bought) else {event.what.concern}


def test_the_same_day_and_seed_give_the_same_story(story: Story) -> None:
    assert simulate(TODAY) == story


def test_another_seed_gives_another_story(story: Story) -> None:
    assert simulate(TODAY, 1).events != story.events


def _moved(value: Any, by: timedelta) -> Any:
    """A value of the story with every day in it moved, save those that belong to a vehicle."""
    if isinstance(value, date):
        return value + by
    if isinstance(value, tuple):
        return tuple(_moved(one, by) for one in value)
    if isinstance(value, Subscription):  # its key names the day that it was bought on
        bought, ends = value.bought_on + by, value.expires_on + by
        return Subscription(f"{value.offer.name} ({bought})", value.offer, bought, ends)
    if is_dataclass(value) and not isinstance(value, type | Vehicle):
        changed = {one.name: _moved(getattr(value, one.name), by) for one in fields(value)}
        if isinstance(value, Programmed) and value.subscription:
            changed["subscription"] = _key_moved(value.subscription, by)
        return type(value)(**changed)
    return value


def _key_moved(key: str, by: timedelta) -> str:
    name, _, day = key.rstrip(")").rpartition(" (")
    return f"{name} ({date.fromisoformat(day) + by})"


@pytest.mark.parametrize("day", [date(2026, 12, 2), date(2027, 1, 2), date(2028, 2, 29), date(2033, 8, 7)])
def test_the_same_story_is_told_on_every_day_moved_by_whole_weeks(story: Story, day: date) -> None:
    told = simulate(day)
    by = told.today - story.today
    assert by.days % 7 == 0
    assert 0 <= (day - told.today).days <= 6
    assert told.events == _moved(story.events, by)
    assert told.truths == _moved(story.truths, by)


def test_the_lines_of_a_repair_order_are_of_one_vehicle_as_written_down(many_stories: list[Story]) -> None:
    orders: dict[tuple[int, str], list[Vehicle]] = defaultdict(list)
    for place, one in enumerate(many_stories):
        for event in one.events:
            if isinstance(event.what, Opened):
                orders[place, event.what.draft.ro_number].append(event.what.draft.vehicle)
    several = [vehicles for vehicles in orders.values() if len(vehicles) > 1]
    assert len(several) > 300
    assert any(not vehicles[0].vin for vehicles in several)
    assert all(len(set(vehicles)) == 1 for vehicles in several)


def test_two_years_hold_about_900_concerns_and_500_reflashes(many_stories: list[Story]) -> None:
    for one in many_stories:
        concerns = sum(isinstance(event.what, Opened) for event in one.events)
        reflashes = sum(
            module.result in (ReflashResult.COMPLETED, ReflashResult.RECOVERED)
            for event in one.events
            if isinstance(event.what, Programmed)
            for module in event.what.draft.modules
        )
        assert 860 <= concerns <= 940
        assert 440 <= reflashes <= 560


def test_it_covers_two_years_in_time_order_without_a_future_day(story: Story) -> None:
    days = [event.day for event in story.events]
    assert days == sorted(days)
    assert days[-1] <= TODAY
    assert timedelta(days=700) < TODAY - days[0] <= timedelta(days=730)


def test_a_concern_is_opened_before_anything_else_happens_to_it(story: Story) -> None:
    opened: set[str] = set()
    for event in story.events:
        if isinstance(event.what, Opened):
            draft = event.what.draft
            assert event.what.concern == f"{draft.ro_number}-{draft.line}"
            assert event.what.concern not in opened
            opened.add(event.what.concern)
        assert _concerns_of(event) <= opened


def test_findings_are_recorded_before_the_answer_is_known(story: Story) -> None:
    answered: set[str] = set()
    for event in story.events:
        if isinstance(event.what, Found):
            assert event.what.concern not in answered
        if isinstance(event.what, Programmed | Closed):
            answered |= _concerns_of(event)


def test_nothing_is_programmed_on_a_concern_that_is_closed(many_stories: list[Story]) -> None:
    for one in many_stories:
        closed: set[str] = set()
        for event in one.events:
            if isinstance(event.what, Programmed):
                assert not _concerns_of(event) & closed
            if isinstance(event.what, Closed):
                closed.add(event.what.concern)


def test_four_to_seven_attached_checks_are_done_on_each_concern(story: Story) -> None:
    attached = {one.key: set(one.checks) for one in families()}
    done: dict[str, list[str]] = defaultdict(list)
    for event in story.events:
        if isinstance(event.what, Found) and event.what.finding.result in (
            FindingResult.YES,
            FindingResult.NO,
        ):
            done[event.what.concern].append(event.what.finding.check)
    for truth in story.truths:
        checks = done[truth.concern]
        assert 4 <= len(checks) == len(set(checks)) <= 7
        assert set(checks) <= attached[truth.family]


def test_programming_uses_equipment_that_exists_and_a_subscription_that_runs(story: Story) -> None:
    bought = {}
    devices = {one.name for one in story.shop.devices}
    clean = {one.name for one in story.shop.support_units if one.clean_supply}
    numbers = {note.number for note in story.notes if note.steps}
    for event in story.events:
        if isinstance(event.what, Bought):
            bought[event.what.subscription.key] = event.what.subscription
        if isinstance(event.what, Programmed):
            if event.what.draft.way is Way.HERE:
                subscription = bought[event.what.subscription]
                assert subscription.bought_on <= event.day <= subscription.expires_on
                assert event.what.device in devices
                assert event.what.support_unit in clean
            assert set(event.what.updates) <= numbers
            assert len(event.what.draft.modules) == len(event.what.updates) == len(event.what.concerns) > 0


def test_each_reflash_starts_from_an_old_id_and_ends_at_another(story: Story) -> None:
    notes = {note.number: note for note in story.notes}
    for event in story.events:
        if isinstance(event.what, Programmed):
            for module, number in zip(event.what.draft.modules, event.what.updates, strict=True):
                step = next(one for one in notes[number].steps if one.module == module.module)
                assert module.calibration_before in step.old_ids
                went_in = module.result in (ReflashResult.COMPLETED, ReflashResult.RECOVERED)
                assert bool(module.calibration_after) == went_in
                assert module.calibration_after != module.calibration_before


def test_programming_events_come_in_every_kind(many_stories: list[Story]) -> None:
    results: Counter[ReflashResult] = Counter()
    sizes: Counter[int] = Counter()
    lines: Counter[int] = Counter()
    for event in (event for one in many_stories for event in one.events):
        if isinstance(event.what, Programmed):
            results.update(module.result for module in event.what.draft.modules)
            sizes[len(event.what.draft.modules)] += 1
            lines[len(_concerns_of(event))] += 1
    assert set(results) == set(ReflashResult)
    assert sizes[2] > 100
    assert lines[2] >= 5


def test_every_old_concern_is_closed_and_the_open_ones_show_thirteen_states(story: Story) -> None:
    opened = {event.what.concern for event in story.events if isinstance(event.what, Opened)}
    closed = {event.what.concern for event in story.events if isinstance(event.what, Closed)}
    assert opened - closed == set(story.open_states)
    assert len(set(story.open_states.values())) == len(story.open_states) == 13


def test_an_other_cause_is_one_that_the_family_knows(story: Story) -> None:
    causes = {one.key: {cause.found for cause in one.causes} for one in families()}
    truths: dict[str, Truth] = {truth.concern: truth for truth in story.truths}
    for event in story.events:
        if isinstance(event.what, Closed) and event.what.other_cause:
            truth = truths[event.what.concern]
            assert event.what.other_cause == truth.cause
            assert truth.cause in causes[truth.family]


def test_follow_ups_come_after_the_reflash_and_say_the_day_that_was_true(story: Story) -> None:
    installed = {truth.concern: truth.installed_on for truth in story.truths}
    heard = [event for event in story.events if isinstance(event.what, FollowedUp)]
    assert len(heard) > 250
    for event in heard:
        assert isinstance(event.what, FollowedUp)
        start = installed[event.what.concern]
        assert start is not None
        assert start < event.what.draft.seen_on == event.day


def test_hurried_people_rarely_write_what_the_bulletin_says(story: Story) -> None:
    clean = {text for one in families() for text in (*one.core, *one.near)}
    words = [event.what.draft.complaint for event in story.events if isinstance(event.what, Opened)]
    assert sum(text not in clean for text in words) / len(words) > 0.7
    assert len(set(words)) / len(words) > 0.8
