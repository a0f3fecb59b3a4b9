"""What is next on a concern and who does it, said with a tap for whoever comes after."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from kb.nouns.advice import Advice
from kb.nouns.bay.after_reflash import NextStep

NEXT_SHIFT = "next shift"
LONGEST_WHAT, LONGEST_WHO = 120, 60
_AFTER: dict[NextStep, str] = {"road_test": "road test", "release": "finish the release list"}
_USUAL = ("prep and program", "road test", "call the customer", "order the part", "lead looks at it")


@dataclass(frozen=True, slots=True)
class NextUp:
    """What is to be done next, by whom ("" for whoever has time), and who said so."""

    what: str
    who: str
    by: str
    since: datetime


def next_offered(next_step: NextStep, advice: Advice) -> tuple[str, ...]:
    """What may be next here, the likeliest first, each once."""
    to_do = advice.steps[0].do if advice.steps else ""
    check = (advice.plan.name,) if advice.plan and to_do == "check" else ()
    own = (_AFTER[next_step],) if next_step in _AFTER else check
    return tuple(dict.fromkeys(one[:LONGEST_WHAT] for one in (*own, *_USUAL)))
