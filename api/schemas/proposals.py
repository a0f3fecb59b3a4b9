"""Bodies about proposals to the lead."""

from __future__ import annotations

from datetime import datetime

from api.schemas.base import IdIn, In, Out, Text, Word
from api.schemas.notes import ContentOut, NoteBody
from api.schemas.shop import CheckBody, Minutes
from kb.nouns.bay.proposals import Proposal, ProposalDraft, ProposalKind, ProposalState, ProposedCheck


class ProposedCheckBody(In):
    """A check as somebody at the vehicle says it: what to do, what it asks, its two result words."""

    name: Word
    question: Text
    yes_word: Word = "YES"
    no_word: Word = "NO"
    minutes: Minutes = 0.0


class ProposalBody(In):
    """What is proposed. A `lesson` needs `concern_id` and `lesson`, `says_otherwise` needs `note_id` and
    `says`, a `better_check` needs `check`. `why`: where it is printed, or why it tells more.
    """

    kind: ProposalKind
    concern_id: IdIn | None = None
    note_id: IdIn | None = None
    lesson: NoteBody | None = None
    check: ProposedCheckBody | None = None
    says: Text = ""
    why: Text = ""

    def draft(self) -> ProposalDraft:
        lesson = self.lesson.draft() if self.lesson else None
        check = self.check.as_value(ProposedCheck) if self.check else None
        return ProposalDraft(self.kind, self.concern_id, self.note_id, lesson, check, self.says, self.why)


class ProposalDecision(In):
    """The proposal that was read at `version`; declining needs `answer`, a line for who proposed it."""

    version: int
    answer: Text = ""


class LessonDecision(ProposalDecision):
    """`lesson`: the lead's own wording; left out, it is published as it was proposed."""

    lesson: NoteBody | None = None


class CorrectionDecision(ProposalDecision):
    """`note` is the whole corrected note, over `note_version`."""

    note_version: int
    note: NoteBody


class CheckDecision(ProposalDecision):
    """`check` with the lead's guesses of what it tells."""

    check: CheckBody


class ProposalOut(Out):
    """A proposal as it stands; `made_note_id` and `made_check_id` are what came of it."""

    id: int
    version: int
    kind: ProposalKind
    state: ProposalState
    concern_id: int | None
    note_id: int | None
    lesson: ContentOut | None
    check: ProposedCheck | None
    says: str
    why: str
    made_by: str
    made_at: datetime
    answer: str
    answered_by: str
    answered_at: datetime | None
    made_note_id: int | None
    made_check_id: int | None

    @classmethod
    def told(cls, it: Proposal) -> ProposalOut:
        held = it.content
        return cls.of(
            it,
            kind=held.kind,
            concern_id=held.concern_id,
            note_id=held.note_id,
            lesson=held.lesson,
            check=held.check,
            says=held.says,
            why=held.why,
        )
