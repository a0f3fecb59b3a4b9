"""Where a concern stands after what was installed for it: what is said, and what is done next."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from kb.desk.views import ConcernView, FollowUpView, ReflashView
from kb.nouns.concerns import FollowUpResult, RoadTest
from web.labels import word
from web.words import day as day_words

_FAILED = (FollowUpResult.CAME_BACK, FollowUpResult.OTHER_CAUSE)
Next = Literal["road_test", "release", "advice"]


@dataclass(frozen=True, slots=True)
class AfterReflash:
    """The last sitting that installed something, and the failure heard of since, if any."""

    done: tuple[ReflashView, ...]
    failed: FollowUpView | None
    recovery_open: bool
    fine_until: date = date.min

    @property
    def last(self) -> ReflashView:
        return self.done[-1]

    @property
    def next(self) -> Next:
        """What comes first: the road test, then what is settled before release; else the advice goes on."""
        if self.recovery_open or self.has_failed:
            return "advice"
        return "road_test" if self.last.road_test == RoadTest.NOT_DONE else "release"

    @property
    def has_failed(self) -> bool:
        still_there = any(one.road_test == RoadTest.STILL_THERE for one in self.done)
        return still_there or any(one.failed_on for one in self.done)

    def sentence(self, today: date) -> str:
        """What came of it so far, such as "Road test: gone. It came back on Sep 12."."""
        road_test = word(self.last.road_test, "road_test")
        said = road_test if self.last.road_test == RoadTest.NOT_DONE else f"road test: {road_test}"
        return f"{said[0].upper()}{said[1:]}. {self._heard(today)}".strip()

    def _heard(self, today: date) -> str:
        if self.failed is None:
            return ""
        heard = day_words(self.failed.seen_on, today)
        back = self.failed.result is FollowUpResult.CAME_BACK
        if self.failed.day_known:
            return f"It came back on {heard}." if back else f"Another cause was found on {heard}."
        what = "It came back" if back else "Another cause was found"
        return f"{what}; heard of on {heard}, nobody knows since when."


def after_reflash(concern: ConcernView) -> AfterReflash | None:
    """None while nothing is installed for the concern."""
    if not concern.installed:
        return None
    last = concern.installed[-1]
    done = tuple(one for one in concern.installed if one.event_id == last.event_id)
    told = [one for one in concern.follow_ups if one.result in _FAILED and one.seen_on >= last.performed_on]
    failed = told[-1] if told and any(one.failed_on for one in done) else None
    fine = [one.seen_on for one in concern.follow_ups if one.result is FollowUpResult.FINE]
    return AfterReflash(done, failed, bool(concern.not_completed), max(fine, default=date.min))
