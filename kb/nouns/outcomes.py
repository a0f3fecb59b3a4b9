"""What came of reflashes: the facts that go into the statistics, and the values that come out."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from enum import IntEnum
from typing import NamedTuple

from kb.nouns.alarms import Alarm, Place
from kb.nouns.chance_words import record_said
from kb.nouns.concerns import Duplicated, FollowUpDraft, HowHeard, RoadTest

Interval = tuple[float, float]
INTERVAL_LEVEL = 0.9
"""Level of every interval where nobody asks for another."""
ONLY_SO_FEW = 5
"""Known answers below which a rate is never said without their number."""
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
    """What was heard of a concern, and when it was written down."""

    said: FollowUpDraft
    recorded_at: datetime


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
    def month(self) -> int:
        return self.reflashed_on.year * 12 + self.reflashed_on.month - 1


def too_early(in_window: int, known: int) -> bool:
    """Whether a rate rests on the first to be heard of, and those are failures: more wait than are known."""
    return in_window > known


@dataclass(frozen=True, slots=True)
class ReportRow:
    """One update (or the whole shop, `update` None) in the report on reflashes.

    Counts are of reflashes. `tried` = failed_at_road_test + comebacks + followed_to_window + in_window +
    overdue + ended (sold, updated by air, superseded); other work in the same visit is in none of them.
    `comebacks` includes another cause found after a pass. Rates are chances of a cure, 0..1, unrounded;
    None where no vehicle says anything. `comeback_cost` is in minor units of the shop's currency. `alarm` is
    against the shop without the update, `worse_than_it_was` against its own past; `place` is in the funnel.
    """

    update: int | None
    title: str
    tried: int
    failed_at_road_test: int
    comebacks: int
    in_window: int
    overdue: int
    followed_to_window: int
    cured_with_other_work: int
    cure_rate: float | None
    interval: Interval
    rate_if_silence_is_fine: float | None
    shrunken_rate: float
    shrunken_interval: Interval
    comeback_cost: int
    alarm: Alarm | None = None
    worse_than_it_was: Alarm | None = None
    place: Place | None = None
    number: str = ""

    @property
    def alarms(self) -> tuple[Alarm, ...]:
        """Those that stand, the latest first."""
        both = [one for one in (self.alarm, self.worse_than_it_was) if one is not None]
        return tuple(sorted(both, key=lambda one: one.since, reverse=True))

    @property
    def record_said(self) -> str:
        """Such as "35 cured, 9 not (2 at road test), 6 waiting"."""
        failed = self.failed_at_road_test + self.comebacks
        seen_here = self.failed_at_road_test if self.comebacks else 0
        return record_said(self.followed_to_window, failed, self.in_window, self.overdue, seen_here)

    @property
    def called(self) -> str:
        """What the update is called where there is little room."""
        return self.number or self.title or f"update {self.update}"

    @property
    def known(self) -> int:
        """Reflashes of which it is known what came of them."""
        return self.followed_to_window + self.failed_at_road_test + self.comebacks

    @property
    def of_only_few(self) -> bool:
        """Whether a rate stands that must not be said without how few answers it is of."""
        return self.cure_rate is not None and 0 < self.known < ONLY_SO_FEW

    @property
    def too_early(self) -> bool:
        return too_early(self.in_window, self.known)

    @property
    def in_part(self) -> int:
        """Vehicles without an answer, where they move the rate a tenth or more off the answers alone."""
        if self.cure_rate is None or not self.known:
            return 0
        moved = abs(self.followed_to_window / self.known - self.cure_rate)
        return self.in_window + self.overdue if moved >= 0.1 else 0


@dataclass(frozen=True, slots=True)
class ReflashReport:
    """The owner's report: the shop's row, one row per update, and the sentences that the numbers bear.

    `chosen`: all rows together where they are only a part of the shop's reflashes, else None.
    `cannot_tell_yet`: fewer than ten vehicles in the shop were followed to the window; then there are
    numbers but no sentences.
    """

    as_of: date
    window_days: int
    level: float
    shop: ReportRow
    rows: tuple[ReportRow, ...]
    cannot_tell_yet: bool
    sentences: tuple[str, ...] = ()
    chosen: ReportRow | None = None

    @property
    def alarms(self) -> tuple[tuple[ReportRow, Alarm], ...]:
        """Those that stand, each with its row, the latest first."""
        each = [(row, alarm) for row in self.rows for alarm in row.alarms]
        return tuple(sorted(each, key=lambda one: one[1].since, reverse=True))

    @property
    def best_first(self) -> tuple[ReportRow, ...]:
        """By the lower end of the adjusted rate: two good vehicles do not outrank thirty-five."""
        return tuple(sorted(self.rows, key=lambda row: row.shrunken_interval[0], reverse=True))
