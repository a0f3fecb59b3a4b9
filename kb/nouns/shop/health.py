"""What was found when the shop's house was looked over: each thing, how grave it is, and what to do."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Gravity(StrEnum):
    """How grave a finding is; the graver, the later."""

    FINE = "fine"
    WATCH = "watch"
    BAD = "bad"

    @property
    def rank(self) -> int:
        return list(Gravity).index(self)


@dataclass(frozen=True, slots=True)
class Finding:
    """`about` is one word or two. `says` and `to_do` are sentences; `to_do` is empty where all is well.

    `in_public` is what somebody unknown may read of it.
    """

    about: str
    gravity: Gravity
    says: str
    to_do: str = ""
    in_public: str = ""
