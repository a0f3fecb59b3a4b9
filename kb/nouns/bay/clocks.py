"""What a vehicle waits out: a cold soak, a draw test asleep, charging, a warm-up, a relearn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from types import MappingProxyType


class Forbids(StrEnum):
    """What must not be done while a clock runs, as its tag says it."""

    NOTHING = ""
    STARTING = "DO NOT START"
    WAKING = "DO NOT OPEN OR WAKE"


class ClockKind(StrEnum):
    SOAK = "soak"
    ASLEEP = "asleep"
    CHARGING = "charging"
    WARM_UP = "warm_up"
    RELEARN = "relearn"
    RELEARN_MILES = "relearn_miles"
    CHECK = "check"


@dataclass(frozen=True, slots=True)
class UsualClock:
    """A kind in words, how long it usually is (minutes, or miles of a drive), and what its tag forbids.

    Lengths are common practice, no source; the manufacturer's instructions win.
    """

    words: str
    minutes: int = 0
    miles: int = 0
    forbids: Forbids = Forbids.NOTHING

    @property
    def length(self) -> str:
        """Such as "50 mi", "8 h" or "45 min"."""
        if self.miles:
            return f"{self.miles} mi"
        return f"{self.minutes} min" if self.minutes % 60 else f"{self.minutes // 60} h"


USUAL: Mapping[ClockKind, UsualClock] = MappingProxyType(
    {
        ClockKind.SOAK: UsualClock("cold soak", 480, forbids=Forbids.STARTING),
        ClockKind.ASLEEP: UsualClock("draw test, asleep", 45, forbids=Forbids.WAKING),
        ClockKind.CHARGING: UsualClock("charging", 120),
        ClockKind.WARM_UP: UsualClock("fluid warm-up", 20),
        ClockKind.RELEARN: UsualClock("relearn", 20),
        ClockKind.RELEARN_MILES: UsualClock("relearn drive", miles=50),
        ClockKind.CHECK: UsualClock("wait of a check", 60, forbids=Forbids.STARTING),
    }
)


@dataclass(frozen=True, slots=True)
class ClockAsked:
    """A clock to be started: for so many minutes, or until a wall-clock time ("7:40 AM"); a drive for so many
    miles from an odometer reading. What is left out is as usual for its kind.

    `ends_with`: key of the check or release line whose answer ends it; `remark`: what it is for.
    """

    kind: ClockKind
    minutes: int | None = None
    until: str = ""
    miles: int | None = None
    odometer: int | None = None
    ends_with: str = ""
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Clock:
    """A clock that runs, with the moment at which it is over; a drive with the odometer at which it is."""

    id: int
    concern_id: int
    kind: ClockKind
    remark: str
    started_at: datetime
    started_by: str
    ends_at: datetime | None
    ends_at_odometer: int | None
    miles: int | None
    ends_with: str

    def is_over(self, now: datetime) -> bool:
        return self.ends_at is not None and self.ends_at <= now


@dataclass(frozen=True, slots=True)
class ClockView:
    """A clock as lists and pages show it: in words, and whether it is over; `forbids` what its tag says."""

    id: int
    concern_id: int
    kind: ClockKind
    said: str
    over: bool
    ends_at: datetime | None
    ends_at_odometer: int | None
    started_at: datetime
    started_by: str
    ends_with: str
    forbids: str
