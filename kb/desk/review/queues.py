"""What waits for the lead, by queue, with how much of it: proposals first."""

from __future__ import annotations

from dataclasses import dataclass

from kb.desk.context import Desk, lead_or_owner
from kb.desk.notes import proposals
from kb.nouns.proposals import ProposalState


@dataclass(frozen=True, slots=True)
class Waiting:
    """How many things of a queue wait; `queue` is its name in addresses."""

    queue: str
    count: int


@lead_or_owner
def waiting(desk: Desk) -> tuple[Waiting, ...]:
    """The queues in which something waits."""
    counts = (Waiting("proposals", len(proposals.list_proposals(desk, [ProposalState.PROPOSED]))),)
    return tuple(one for one in counts if one.count)
