"""Which updates the shop's own outcomes speak against, though their notes say that they cure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from kb.nouns.review.alarms import Apart
from kb.nouns.review.reflash_report import ONLY_SO_FEW, ReportRow

HALF = 0.5


@dataclass(frozen=True, slots=True)
class Contradicted:
    """An update whose record does not bear its note out: why, and since when where that has a day."""

    update: int
    record: str
    why: str
    since: date | None = None


def contradicted(rows: Iterable[ReportRow]) -> tuple[Contradicted, ...]:
    """By the review's own rule: an alarm stands, it lies below the funnel, or surely fewer than half are
    cured (the upper end of the adjusted interval; of few known answers nothing is said). The latest first.
    """
    told = (_told(row) for row in rows)
    return tuple(sorted((one for one in told if one), key=lambda one: one.since or date.min, reverse=True))


def _told(row: ReportRow) -> Contradicted | None:
    if not row.update:
        return None
    for alarm in row.alarms:
        return Contradicted(row.update, row.record_said, alarm.sentence, alarm.since)
    if row.place is not None and row.place.apart is Apart.BELOW:
        return Contradicted(row.update, row.record_said, "It cures less often than the shop's other updates.")
    if row.known >= ONLY_SO_FEW and row.shrunken_interval[1] < HALF:
        return Contradicted(row.update, row.record_said, "It surely cures fewer than half of the vehicles.")
    return None
