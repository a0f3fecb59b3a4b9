"""How many failures a shop hears of without asking."""

from __future__ import annotations

from dataclasses import dataclass

from kb.nouns.chance_words import about_in_ten


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
