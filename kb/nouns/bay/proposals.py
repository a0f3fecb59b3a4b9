"""What somebody proposes to the lead from a vehicle, and which answer may follow which state."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from types import MappingProxyType

from kb.errors import BadInput
from kb.nouns.checks import LONGEST, LONGEST_SAID
from kb.nouns.notes import NoteDraft


class ProposalKind(StrEnum):
    """What is proposed: a lesson of a concern, other words for a note, or a check that tells more."""

    LESSON = "lesson"
    SAYS_OTHERWISE = "says_otherwise"
    BETTER_CHECK = "better_check"


class ProposalState(StrEnum):
    """Waiting for the lead, or how it ended; `CHANGED` is taken with changes by the lead."""

    PROPOSED = "proposed"
    TAKEN = "taken"
    CHANGED = "changed"
    DECLINED = "declined"
    WITHDRAWN = "withdrawn"


class ProposalAct(StrEnum):
    """What may be done with a proposal."""

    TAKE = "take"
    CHANGE = "change"
    DECLINE = "decline"
    WITHDRAW = "withdraw"


_LEADS_TO: Mapping[tuple[ProposalState, ProposalAct], ProposalState] = MappingProxyType(
    {
        (ProposalState.PROPOSED, ProposalAct.TAKE): ProposalState.TAKEN,
        (ProposalState.PROPOSED, ProposalAct.CHANGE): ProposalState.CHANGED,
        (ProposalState.PROPOSED, ProposalAct.DECLINE): ProposalState.DECLINED,
        (ProposalState.PROPOSED, ProposalAct.WITHDRAW): ProposalState.WITHDRAWN,
        (ProposalState.DECLINED, ProposalAct.TAKE): ProposalState.TAKEN,
        (ProposalState.DECLINED, ProposalAct.CHANGE): ProposalState.CHANGED,
    }
)
"""A lead may come back to what was declined; what was taken or withdrawn stays so."""
_ENDED = {
    ProposalState.TAKEN: "was taken already",
    ProposalState.CHANGED: "was taken already",
    ProposalState.DECLINED: "was declined already",
    ProposalState.WITHDRAWN: "was withdrawn by who made it",
}


def after(state: ProposalState, act: ProposalAct, answer: str = "") -> ProposalState:
    """The state that an act leads to. BadInput where it is answered already, or declined without a word."""
    found = _LEADS_TO.get((state, act))
    if found is None:
        raise BadInput(f"This proposal {_ENDED[state]}. Load the page again.", fields={"state": state.value})
    if act is ProposalAct.DECLINE and not answer.strip():
        what = "Say in a line why not: whoever proposed it reads that."
        raise BadInput(what, fields={"answer": "a line is needed"})
    return found


@dataclass(frozen=True, slots=True)
class ProposedCheck:
    """A check as somebody at the vehicle says it: what to do, what it asks, and its two result words."""

    name: str
    question: str
    yes_word: str = "YES"
    no_word: str = "NO"
    minutes: float = 0.0


@dataclass(frozen=True, slots=True)
class ProposalDraft:
    """A proposal before it is made.

    A lesson is `lesson`; a better check is `check`; what a bulletin says otherwise is `says`. `why` tells
    where that is printed, or why the check is better. `concern_id` is where it comes from, `note_id` the note
    that it is about.
    """

    kind: ProposalKind
    concern_id: int | None = None
    note_id: int | None = None
    lesson: NoteDraft | None = None
    check: ProposedCheck | None = None
    says: str = ""
    why: str = ""


@dataclass(frozen=True, slots=True)
class Proposal:
    """A proposal as it stands. `answer` is the lead's line back, the made note or check what came of it."""

    id: int
    version: int
    content: ProposalDraft
    state: ProposalState
    made_by: str
    made_at: datetime
    answer: str = ""
    answered_by: str = ""
    answered_at: datetime | None = None
    made_note_id: int | None = None
    made_check_id: int | None = None

    @property
    def title(self) -> str:
        """What it is called in a list."""
        held = self.content
        return held.lesson.title if held.lesson else held.check.name if held.check else held.says

    @property
    def is_open(self) -> bool:
        """Whether the lead has not answered yet."""
        return self.state is ProposalState.PROPOSED


def refuse_empty(draft: ProposalDraft) -> ProposalDraft:
    """The draft; BadInput naming each field that its kind needs and that says nothing, or what cannot be."""
    faults: dict[str, str] = {}
    if draft.kind is ProposalKind.LESSON:
        if draft.concern_id is None:
            faults["concern_id"] = "A lesson is made of a concern."
        if draft.lesson is None or not draft.lesson.title.strip():
            faults["title"] = "Give it a title: what it does and what cured it."
    elif draft.kind is ProposalKind.SAYS_OTHERWISE:
        if draft.note_id is None:
            faults["note_id"] = "Say which bulletin."
        if not draft.says.strip():
            faults["says"] = "Write what the bulletin says."
    else:
        faults = _faults_of(draft.check)
    if faults:
        raise BadInput(" ".join(faults.values()), fields=faults)
    return draft


def _faults_of(check: ProposedCheck | None) -> dict[str, str]:
    if check is None or not check.name.strip():
        return {"name": "Say what to do."}
    if not check.question.strip():
        return {"question": "Say what it asks, so that yes or no answers it."}
    if not 0 <= check.minutes <= LONGEST:
        return {"minutes": f"The work takes {LONGEST_SAID}."}
    return {}
