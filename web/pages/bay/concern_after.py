"""What came of a reflash so far, in words."""

from __future__ import annotations

from datetime import date

from kb.nouns.bay.after_reflash import AfterReflash
from kb.nouns.concerns import FollowUpResult, RoadTest
from kb.nouns.outcomes import Heard
from web.labels import word
from web.words import day as day_words


def after_words(after: AfterReflash, today: date) -> str:
    """Such as "Road test: gone. It came back on Sep 12."."""
    road_test = word(after.last.road_test, "road_test")
    said = road_test if after.last.road_test == RoadTest.NOT_DONE else f"road test: {road_test}"
    return f"{said[0].upper()}{said[1:]}. {_heard(after.failed, today)}".strip()


def _heard(failed: Heard | None, today: date) -> str:
    if failed is None:
        return ""
    heard = day_words(failed.said.seen_on, today)
    back = failed.said.result is FollowUpResult.CAME_BACK
    if failed.said.day_known:
        return f"It came back on {heard}." if back else f"Another cause was found on {heard}."
    what = "It came back" if back else "Another cause was found"
    return f"{what}; heard of on {heard}, nobody knows since when."
