"""Bodies about notes."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from typing import Annotated

from pydantic import BeforeValidator, Field

from api.schemas.base import Day, DayAhead, IdIn, In, LongText, Out, Text, Word
from kb.desk.notes.notes import NoteLine
from kb.nouns.notes import (
    CodeKind,
    NoteCode,
    NoteDocument,
    NoteDraft,
    NoteKind,
    NoteState,
    Remedy,
    SpeaksAgainst,
)
from kb.nouns.vehicles import CalibrationStep, Coverage

Year = Annotated[int, Field(ge=1886, le=9999)]


class CoverageBody(In):
    """One line of what a note is for; an empty field asks nothing. `years` are ranges: [[2016, 2017]]."""

    make: Word
    model: Word = ""
    years: list[tuple[Year, Year]] = Field(default_factory=list, max_length=100)
    engine: Word = ""
    built_from: Day | None = None
    built_to: Day | None = None
    vin_prefix: Word = ""


class StepBody(In):
    """Any of the old calibration IDs of a module becomes the new one."""

    module: Word
    old_ids: list[Word] = Field(max_length=500)
    new_id: Word


class DocumentBody(In):
    name: Word
    text: LongText


class AgainstBody(In):
    """A condition or finding under which the remedy is not the cure.

    `check` is the key of the check that asks for it; left empty, one is made for this note.
    """

    says: Word
    check: Word = ""


class NoteBody(In):
    """The content of a note.

    `code_kinds` says of a code whether it is `defining`, `may_be_stored` or `not_part` of the condition. One
    that it leaves out is defining, save those that many faults set (lean, misfire, lost communication, low
    voltage), which are never more than `may_be_stored`. With calibration steps an empty `remedy` is
    `software`. `replaces` names notes by their printed numbers, "#12" for one without.
    """

    kind: NoteKind
    title: Annotated[Text, Field(max_length=1000)]
    number: Word = ""
    symptom: Text = ""
    body: LongText = ""
    conditions: Text = ""
    codes: list[Word] = Field(default_factory=list, max_length=500)
    code_kinds: dict[Word, CodeKind] = Field(default_factory=dict, max_length=500)
    coverage: list[CoverageBody] = Field(default_factory=list, max_length=2000)
    steps: list[StepBody] = Field(default_factory=list, max_length=500)
    documents: list[DocumentBody] = Field(default_factory=list, max_length=500)
    precautions: list[Text] = Field(default_factory=list, max_length=200)
    relearns: list[Text] = Field(default_factory=list, max_length=200)
    exact_entries: list[Text] = Field(default_factory=list, max_length=200)
    speaks_against: list[AgainstBody] = Field(default_factory=list, max_length=50)
    replaces: list[Word] = Field(default_factory=list, max_length=50)
    remedy: Remedy = Remedy.NOT_SAID
    remedy_module: Word = ""
    system: Word = ""
    state: NoteState = NoteState.PUBLISHED
    published_on: Day | None = None

    def draft(self) -> NoteDraft:
        return self.as_value(NoteDraft, codes=tuple(self._codes()))

    def _codes(self) -> Iterator[NoteCode]:
        kinds = {code.upper(): kind for code, kind in self.code_kinds.items()}
        for code in dict.fromkeys((*self.codes, *self.code_kinds)):
            yield NoteCode(code, kinds.get(code.upper(), CodeKind.DEFINING))


class NoteChange(NoteBody):
    """New content over `version`; `why` is kept with the revision."""

    version: int
    why: Text = ""


class NoteDecision(In):
    """Publishing or retiring the note that was read at `version`; retiring needs the reason."""

    version: int
    why: Text = ""


class NoteLookedAt(In):
    """The note that was read at `version` is still right; `again_on`: ask again then, not in a year."""

    version: int
    again_on: DayAhead | None = None


class NoteRestored(In):
    """`old_version` of the note that was read at `version` is taken up again."""

    version: int
    old_version: int


class MergeBody(In):
    """`duplicate_id` is retired; what was recorded with it counts to the note of the address."""

    duplicate_id: IdIn


class ContentOut(Out):
    kind: NoteKind
    title: str
    number: str
    symptom: str
    body: str
    conditions: str
    codes: Annotated[list[str], BeforeValidator(lambda codes: [str(code) for code in codes])]
    code_kinds: dict[str, CodeKind]
    coverage: Coverage
    steps: tuple[CalibrationStep, ...]
    documents: tuple[NoteDocument, ...]
    precautions: list[str]
    relearns: list[str]
    exact_entries: list[str]
    speaks_against: tuple[SpeaksAgainst, ...]
    replaces: list[str]
    remedy: Remedy
    remedy_module: str
    system: str
    state: NoteState
    published_on: date | None
    source: str


class NoteOut(ContentOut):
    """A note as it stands. Send `version` back with a change."""

    id: int
    version: int
    author: str


class LookedAtOut(Out):
    """When somebody last found the note right, null where nobody did; `look_again_on`: when that is asked
    anew, null for a year later.
    """

    id: int
    version: int
    looked_at_on: date | None
    looked_at_by: str
    look_again_on: date | None


class DiffersOut(Out):
    """What two notes say otherwise: what stands only in the one sent (`here`) and only in the other."""

    field: str
    here: list[str]
    there: list[str]


class AlikeOut(Out):
    """A note on the same thing; `why`: number, calibrations, defect or words, the surest first."""

    id: int
    number: str
    title: str
    state: NoteState
    why: list[str]
    differs: list[DiffersOut]


class NotePageOut(Out):
    """One page, newest change first; `total` notes fit in all."""

    notes: tuple[NoteLine, ...]
    total: int
    page: int
    pages: int


class RevisionOut(Out):
    version: int
    author: str
    saved_at: datetime
    why: str
    content: ContentOut


class PaperBody(In):
    """The text of a bulletin or recall, as it was pasted."""

    text: LongText


class ProposedOut(Out):
    """One value of one field of a note and the words it was read from; `kind` is what is said of a code,
    `step` counts the calibration steps from 1 where an ID or a module belongs to one.
    """

    field: str
    value: str
    read_from: str
    kind: str
    step: int


class PaperOut(Out):
    """What a text proposes, in the order of the fields and of the text."""

    proposals: list[ProposedOut]
