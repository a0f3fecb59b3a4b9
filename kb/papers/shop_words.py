"""What a paper of the shop needs besides the file: its clock, its money, and what its people are called."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, tzinfo

from kb.nouns.currency import amount_said
from kb.nouns.days import clock_words, day_words


@dataclass(frozen=True, slots=True)
class ShopWords:
    """`people`: what each user name is called; a name of nobody here stays as it is."""

    zone: tzinfo
    currency: str
    people: Mapping[str, str] = field(default_factory=dict)

    def person(self, name: str) -> str:
        return self.people.get(name, name)

    def moment(self, when: datetime) -> str:
        """Such as "Nov 30, 2026 8:40 AM"."""
        return f"{day_words(when.astimezone(self.zone).date())} {clock_words(when, self.zone)}"

    def money(self, minor: int) -> str:
        return amount_said(minor, self.currency)
