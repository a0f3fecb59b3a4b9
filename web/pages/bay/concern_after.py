"""What came of a reflash so far, in words."""

from __future__ import annotations

from datetime import date

from kb.desk.bay.concern.views import After, FollowUpView
from kb.nouns.concerns import FollowUpResult, RoadTest
from web.labels import word
from web.words import day as day_words


def after_words(after: After, today: date) -> str:
    """Such as "Road test: gone. It came back on Sep 12."."""
    road_test = word(after.last.road_test, "road_test")
    said = road_test if after.last.road_test == RoadTest.NOT_DONE else f"road test: {road_test}"
    return f"{said[0].upper()}{said[1:]}. {_heard(after.failed, today)}".strip()


def _heard(failed: FollowUpView | None, today: date) -> str:
    if failed is None:
        return ""
    heard = day_words(failed.seen_on, today)
    back = failed.result is FollowUpResult.CAME_BACK
    if failed.day_known:
        return f"It came back on {heard}." if back else f"Another cause was found on {heard}."
    what = "It came back" if back else "Another cause was found"
    return f"{what}; heard of on {heard}, nobody knows since when."
