"""The owner's report on reflashes, as frozen values, and how many failures a shop hears of unasked."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from kb.nouns.chance_words import about_in_ten, record_said
from kb.nouns.outcomes import Interval
from kb.nouns.review.alarms import Alarm, Place

ONLY_SO_FEW = 5
"""Known answers below which a rate is never said without their number."""


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
    def rate_known(self) -> float | None:
        """The plain rate to be drawn: none where no answer is known, whatever the estimate says."""
        return self.cure_rate if self.known else None

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


@dataclass(frozen=True, slots=True)
class ToldUnasked:
    """The share that is told unasked, and how that is known.

    `share` is the mean of what is believed, `low` and `high` its lowest and highest fifth. Of vehicles past
    their window: comebacks told `unasked` and `found` on asking, and how many were `reached` of the `silent`
    ones, that had said nothing.
    """

    share: float
    low: float
    high: float
    unasked: int
    found: int
    reached: int
    silent: int

    @property
    def by_calls(self) -> bool:
        """Whether any call tells of it; else it is assumed."""
        return self.reached > 0 and self.unasked + self.found > 0

    @property
    def sentence(self) -> str:
        """What is believed, as a range, after what it rests on."""
        share = about_in_ten(self.share, (self.low, self.high))
        if not self.by_calls:
            return f"Assumed: of failures {share} are told unasked; no call tells yet."
        rest = "the rest taken alike, " if self.reached < self.silent else ""
        return (
            "Of the failures of vehicles old enough to be called, "
            f"{self.unasked:,} were told unasked, {self.found:,} found on asking {self.reached:,} of "
            f"{self.silent:,} silent: {rest}{share} are told unasked."
        )
