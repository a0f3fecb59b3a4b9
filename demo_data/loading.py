"""What is known so far while the story is loaded."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from demo_data.story import Authorized
from kb.advice.chances.learn import Learned
from kb.nouns.people import Actor


@dataclass
class Loading:
    """Ids of what was recorded so far, by the names that the story uses, and what was learned by then.

    `agreed` is what is not billed yet, `programmed` the concerns on which something was.
    """

    people: Mapping[str, Actor]
    advised_from: date
    now: datetime
    steps: int
    done: int = 0
    notes: dict[str, int] = field(default_factory=dict)
    concerns: dict[str, int] = field(default_factory=dict)
    equipment: dict[str, int] = field(default_factory=dict)
    subscriptions: dict[str, int] = field(default_factory=dict)
    learned: Learned | None = None
    agreed: dict[str, Authorized] = field(default_factory=dict)
    programmed: set[str] = field(default_factory=set)
