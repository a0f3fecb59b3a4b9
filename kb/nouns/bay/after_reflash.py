"""Where a concern stands after what was installed for it, as a frozen value."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from kb.nouns.bay.on_file import Programmed
from kb.nouns.concerns import RoadTest
from kb.nouns.outcomes import Heard

NextStep = Literal["advice", "road_test", "release", "closed"]
"""Go on with the advice, drive it, settle what is open before it leaves; or nothing, as it is closed."""


@dataclass(frozen=True, slots=True)
class AfterReflash:
    """The last sitting that installed something, and the failure heard of since, if any.

    `has_failed`: a failure after it is counted, or the road test said that it was still there.
    """

    done: tuple[Programmed, ...]
    failed: Heard | None
    has_failed: bool
    recovery_open: bool
    fine_until: date = date.min

    @property
    def last(self) -> Programmed:
        return self.done[-1]

    @property
    def next(self) -> NextStep:
        """What comes first: the road test, then what is settled before release; else the advice goes on."""
        if self.recovery_open or self.has_failed:
            return "advice"
        return "road_test" if self.last.road_test == RoadTest.NOT_DONE else "release"
