"""When the window of one vehicle ends: the shop's days and miles, longer for an intermittent."""

from __future__ import annotations

from dataclasses import dataclass

from kb.errors import BadInput
from kb.nouns.outcomes import WindowRule


@dataclass(frozen=True, slots=True)
class OwnWindow:
    """The window of one vehicle: its days and miles, and the report's days it is shrunk to."""

    days: int
    miles: float
    report_days: int

    def failed_day(self, day: int) -> int:
        return -(-day * self.report_days // self.days)

    def free_day(self, day: int) -> int:
        return min(day, self.days) * self.report_days // self.days


def own_window(rule: WindowRule, usual_gap_days: int | None) -> OwnWindow:
    """The rule's window, or three usual gaps of an intermittent if that is longer (miles in proportion)."""
    if rule.days < 1 or rule.miles < 1:
        raise BadInput("A window needs at least one day and one mile.", fields={"window_days": "below 1"})
    days = max(rule.days, rule.usual_gaps * max(usual_gap_days or 0, 0))
    return OwnWindow(days, rule.miles * days / rule.days, rule.days)
