"""Bodies about changing many notes at once."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated

from pydantic import Field

from api.schemas.base import IdIn, In, Out, Text, Whole, Word
from kb.desk.notes.bulk import Chosen
from kb.desk.notes.notes import NoteFilter
from kb.nouns.lead.bulk_changes import BulkAction, BulkAsk, BulkChange, BulkState, LeftNote
from kb.nouns.notes import NoteKind, NoteState

MOST_IDS = 20_000


class ListBody(In):
    """All notes of a list, as `GET /api/notes` gives them page by page; what is left out asks nothing."""

    kind: NoteKind | None = None
    state: NoteState | None = None
    make: Word = ""
    q: Word = ""


class BulkBody(In):
    """What to do, and with which notes: `ids`, or a `whole_list`. `why` goes with retire, `module` with
    set_module, `makes` with set_makes. `expected`: how many notes you were told of; where the list holds
    another number by now, nothing is changed (409).
    """

    action: BulkAction
    ids: Annotated[tuple[IdIn, ...], Field(max_length=MOST_IDS)] = ()
    whole_list: ListBody | None = None
    why: Text = ""
    module: Word = ""
    makes: Annotated[tuple[Word, ...], Field(max_length=50)] = ()
    expected: Whole | None = None

    def ask(self) -> BulkAsk:
        return BulkAsk(self.action, self.why, self.module, self.makes)

    def chosen(self) -> Chosen:
        one = self.whole_list
        wanted = NoteFilter(one.kind, one.state, one.make, one.q) if one else None
        return Chosen(self.ids, wanted)


class BulkPlanOut(Out):
    """What would come of it, as far as that can be told before the notes are read."""

    total: int
    would_change: int
    so_already: int
    merged: int


class BulkOut(Out):
    """How far a change is. An undo goes on from `undoing`; `left` are notes that stay, and why."""

    id: int
    action: BulkAction
    why: str
    module: str
    makes: tuple[str, ...]
    state: BulkState
    total: int
    done: int
    changed: int
    so_already: int
    put_back: int
    left: tuple[LeftNote, ...]
    author: str
    started_at: datetime

    @classmethod
    def told(cls, change: BulkChange) -> BulkOut:
        ask = change.ask
        return cls.of(change, action=ask.action, why=ask.why, module=ask.module, makes=ask.makes)
