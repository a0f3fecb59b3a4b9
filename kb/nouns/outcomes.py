"""What was done and what was heard of it: the facts that go into the statistics of outcomes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from enum import IntEnum
from typing import NamedTuple

from kb.nouns.concerns import Duplicated, FollowUpDraft, HowHeard, RoadTest

Interval = tuple[float, float]
INTERVAL_LEVEL = 0.9
"""Level of every interval where nobody asks for another."""
NO_UPDATE = 0
"""Stands for a reflash whose update nobody named; no sentence is of it."""
_LONG_AGO = datetime.min.replace(tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class WindowRule:
    """How long a cure must hold: `days` or `miles`, whichever first; longer for an intermittent.

    Miles end the window only where a follow-up recorded an odometer. An intermittent is watched for at
    least `usual_gaps` of its usual gap between two happenings.
    """

    days: int = 90
    miles: int = 3000
    usual_gaps: int = 3


@dataclass(frozen=True, slots=True)
class Reflashed:
    """One installed reflash (completed or recovered) and one concern it was meant to cure: what was done.

    `update_id` is NO_UPDATE where nobody named it. Empty `duplicated_before` in a history counts as yes.
    `other_work`: something else was done in the same visit. `odometer` is the reading at the reflash.
    `superseded_on`: the day a newer calibration went into the same module. `other_cause_on`: the day the
    concern was closed with another cause. `sitting` is the programming event.
    """

    update_id: int
    reflashed_on: date
    road_test: RoadTest = RoadTest.CANNOT_SAY
    duplicated_before: Duplicated = Duplicated.YES
    other_work: bool = False
    odometer: int | None = None
    usual_gap_days: int | None = None
    superseded_on: date | None = None
    other_cause_on: date | None = None
    recorded_at: datetime = _LONG_AGO
    sitting: int = 0
    concern_id: int = 0
    outcome_id: int = 0
    make: str = ""
    module: str = ""


class Heard(NamedTuple):
    """What was heard of a concern, when it was written down and by whom.

    `imported`: a file brought it. `at_visit`: the later concern with which the vehicle was here then.
    """

    said: FollowUpDraft
    recorded_at: datetime
    id: int = 0
    by: str = ""
    imported: bool = False
    version: int = 1
    at_visit: int | None = None


class CountedAs(IntEnum):
    """How reports count a reflash: with equal ones, read alone, or not, since another module of the same
    sitting, update and concern stands for it.
    """

    NOT_INSTALLED = 0
    TOGETHER = 1
    ONE_BY_ONE = 2
    WITH_ANOTHER = 3


class Standing(IntEnum):
    """Where one reflash stands. The first three are failures; the number is what the counts carry."""

    FAILED_AT_ROAD_TEST = 0
    COMEBACK = 1
    OTHER_CAUSE = 2
    FOLLOWED_TO_WINDOW = 3
    IN_WINDOW = 4
    OVERDUE = 5
    ENDED = 6
    NOT_KNOWN = 7


FAILURES = (Standing.FAILED_AT_ROAD_TEST, Standing.COMEBACK, Standing.OTHER_CAUSE)
OPEN_KINDS = (Standing.IN_WINDOW, Standing.NOT_KNOWN)
"""Waiting and not known: their window may still be open."""


@dataclass(frozen=True, slots=True)
class Observation:
    """What is known of one reflash on a day, by the window of a report.

    Days are counted from the reflash. Days of the window run 0..W, W the report's window: the longer window
    of an intermittent is shrunk to it, so a vehicle seen on day 90 of its 180 days stands on day 45 of 90.

    | field        | meaning                                                                              |
    |--------------|--------------------------------------------------------------------------------------|
    | `standing`   | failed (and how), free to the window, waiting, overdue, ended or not known           |
    | `day`        | day of the window: of a failure its day, else the last known free of the concern     |
    | `silent_day` | day of the window: its age. A failure could have shown until then                    |
    | `reason`     | in words, what ended the count                                                       |
    | `days_after` | real days to the failure or the last sighting                                        |
    | `shift`      | added to `day`: the real day, or that of hearing where nobody knows it               |
    | `day_known`  | false for a failure since nobody knows when                                          |
    | `cost_minor` | its share of what the shop bore for failures, in the window or after it              |
    | `explained`  | another cause was found, in the window or after it                                   |
    | `heard`      | of a failure told later, how it was heard                                            |
    | `month`      | of the reflash, year * 12 + month - 1                                                |
    """

    reflash: Reflashed
    standing: Standing
    day: int
    silent_day: int
    reason: str
    days_after: int = 0
    shift: int = 0
    day_known: bool = True
    cost_minor: int = 0
    explained: bool = False
    heard: HowHeard = HowHeard.NOT_SAID

    def counted_for(self, update_id: int) -> Observation:
        """The same of another note, as that which its update was merged into."""
        if update_id == self.update_id:
            return self
        return replace(self, reflash=replace(self.reflash, update_id=update_id))

    @property
    def update_id(self) -> int:
        return self.reflash.update_id

    @property
    def reflashed_on(self) -> date:
        return self.reflash.reflashed_on

    @property
    def other_work(self) -> bool:
        return self.reflash.other_work

    @property
    def is_told_of(self) -> bool:
        """Whether it counts in a rate: nothing else was done in the visit, and something is known of it."""
        return not self.other_work and self.standing is not Standing.NOT_KNOWN

    @property
    def month(self) -> int:
        return self.reflashed_on.year * 12 + self.reflashed_on.month - 1
