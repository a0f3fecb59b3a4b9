"""The three people and what they may do."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Role(StrEnum):
    """Technician, lead technician, owner."""

    TECH = "tech"
    LEAD = "lead"
    OWNER = "owner"


@dataclass(frozen=True, slots=True)
class Actor:
    """The person behind a request. `role` stays text: an unknown role is kept and denied everything."""

    user_id: int
    name: str
    role: str
