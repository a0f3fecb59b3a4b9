"""An update that asks for an inspection first: what that finds is written down before it is programmed.

Until then a plan that begins with it begins with its inspection.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from kb.nouns.advice import CandidateInHand, PlanNode
from kb.nouns.bay.first_steps import ToSettle
from kb.nouns.bay.on_file import Tick
from kb.nouns.notes import Remedy, SpeaksAgainst
from kb.nouns.starting_prep import INSPECTION


def inspection_line(note_id: int) -> str:
    """The key of its line on the preparation list."""
    return f"{INSPECTION}{note_id}"


def told_by_checks(entries: Sequence[SpeaksAgainst], done: Collection[str]) -> bool:
    """Whether the checks of all that speaks against the update were done: they are its inspection."""
    return bool(entries) and all(one.check in done for one in entries)


def is_inspected(remedy: Remedy, note_id: int, ticks: Sequence[Tick], *, by_checks: bool) -> bool:
    """Whether nothing is to be inspected, its checks were done, or somebody wrote down what was found."""
    if remedy is not Remedy.INSPECT_THEN_SOFTWARE or by_checks:
        return True
    return any(tick.item == inspection_line(note_id) and tick.measured for tick in ticks)


def inspection_first(plan: PlanNode | None, candidates: Sequence[CandidateInHand]) -> tuple[ToSettle, ...]:
    """The inspection that comes before the plan's first step; none where that is no such update."""
    if plan is None or plan.do != "reflash":
        return ()
    return tuple(
        ToSettle(
            f"Inspect as {one.name} asks, and write down what it found: only then is it programmed",
            inspection_line(one.note_id),
        )
        for one in candidates
        if str(one.note_id) == plan.key and not one.inspected
    )
