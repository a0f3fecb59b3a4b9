"""One change of many notes at once: what is asked for, what would come of it, and how far it is."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum

from kb.nouns.notes import NoteDraft, NoteState
from kb.nouns.vehicles import CoverageLine


class BulkAction(StrEnum):
    """What may be done to many notes at once."""

    PUBLISH = "publish"
    RETIRE = "retire"
    SET_MODULE = "set_module"
    SET_MAKES = "set_makes"


class BulkState(StrEnum):
    """How far a change is; one that stands still was broken off and can be undone."""

    WORKING = "working"
    DONE = "done"
    UNDOING = "undoing"
    UNDONE = "undone"


class WhyLeft(StrEnum):
    """Why a note was left as it is, or an undo left it as it is now."""

    MERGED = "merged"
    CIRCLE = "circle"
    EDITED_SINCE = "edited_since"


@dataclass(frozen=True, slots=True)
class BulkAsk:
    """`why` goes with a retirement, `module` and `makes` with the actions that set them."""

    action: BulkAction
    why: str = ""
    module: str = ""
    makes: tuple[str, ...] = ()

    def of(self, draft: NoteDraft) -> NoteDraft:
        """The note's content after the change. Makes are set in each line of the coverage, whose models and
        years stay; a note without coverage gets a line for each make.
        """
        match self.action:
            case BulkAction.PUBLISH:
                return replace(draft, state=NoteState.PUBLISHED)
            case BulkAction.RETIRE:
                return replace(draft, state=NoteState.RETIRED)
            case BulkAction.SET_MODULE:
                return replace(draft, remedy_module=self.module)
            case BulkAction.SET_MAKES:
                lines = draft.coverage or (CoverageLine(""),)
                of_makes = (replace(line, make=make) for make in self.makes for line in lines)
                return replace(draft, coverage=tuple(dict.fromkeys(of_makes)))


@dataclass(frozen=True, slots=True)
class BulkPlan:
    """How many notes are chosen, and how many stay as they are, as far as can be told unread."""

    total: int
    so_already: int = 0
    merged: int = 0

    @property
    def would_change(self) -> int:
        return self.total - self.so_already - self.merged


@dataclass(frozen=True, slots=True)
class LeftNote:
    """A note that was left as it is, and why."""

    id: int
    title: str
    why: WhyLeft


@dataclass(frozen=True, slots=True)
class BulkChange:
    """One change of many notes. `done` of `total` notes are gone through, `changed` of them were changed;
    `left` are those that could not be, after an undo those that it left.
    """

    id: int
    ask: BulkAsk
    state: BulkState
    total: int
    done: int
    changed: int
    so_already: int
    put_back: int
    left: tuple[LeftNote, ...]
    author: str
    started_at: datetime
    moved_at: datetime

    @property
    def can_be_undone(self) -> bool:
        """Whether something of it stands."""
        return self.state is not BulkState.UNDONE and self.changed > 0
