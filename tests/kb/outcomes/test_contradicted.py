"""Which records speak against their notes: an alarm, below the funnel, or surely fewer than half cured."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from kb.nouns.review.alarms import Alarm, AlarmKind, Apart, Place
from kb.nouns.review.reflash_report import ReportRow
from kb.outcomes.contradicted import contradicted

ALARM = Alarm(AlarmKind.SHOP, date(2026, 3, 1), "More comebacks than bad luck explains.")
LATER = Alarm(AlarmKind.PAST, date(2026, 5, 1), "Worse than it was.")


def row(update: int | None = 1, **said: Any) -> ReportRow:
    usual: dict[str, Any] = {
        "title": "Surge",
        "tried": 10,
        "failed_at_road_test": 2,
        "comebacks": 3,
        "in_window": 0,
        "overdue": 0,
        "followed_to_window": 5,
        "cured_with_other_work": 0,
        "cure_rate": 0.5,
        "interval": (0.2, 0.8),
        "rate_if_silence_is_fine": 0.5,
        "shrunken_rate": 0.5,
        "shrunken_interval": (0.3, 0.7),
        "comeback_cost": 0,
    }
    return ReportRow(update, **usual | said)


@pytest.mark.parametrize(
    "speaking",
    [
        {"alarm": ALARM},
        {"worse_than_it_was": LATER},
        {"place": Place(0.6, 0.9, Apart.BELOW)},
        {"shrunken_interval": (0.1, 0.49)},
    ],
)
def test_what_speaks_against_a_note(speaking: dict[str, Any]) -> None:
    [one] = contradicted([row(**speaking)])
    assert (one.update, one.record) == (1, "5 cured, 5 not (2 at road test)")


@pytest.mark.parametrize(
    "silent",
    [
        {},
        {"place": Place(0.2, 0.5, Apart.ABOVE)},
        {"shrunken_interval": (0.1, 0.49), "followed_to_window": 1, "comebacks": 1},
        {"update": None, "alarm": ALARM},
        {"update": 0, "alarm": ALARM},
    ],
)
def test_what_says_nothing_against_it(silent: dict[str, Any]) -> None:
    assert contradicted([row(**silent)]) == ()


def test_the_latest_alarm_comes_first() -> None:
    found = contradicted([row(1, shrunken_interval=(0.1, 0.2)), row(2, alarm=ALARM), row(3, alarm=LATER)])
    assert [one.update for one in found] == [3, 2, 1]
    assert found[0].since == date(2026, 5, 1)
