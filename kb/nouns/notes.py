"""Notes: what the shop knows, from manufacturers and from its own vehicles."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from kb.nouns.vehicles import CalibrationStep, Coverage


class NoteKind(StrEnum):
    """A bulletin is a manufacturer's, a lesson the shop's own."""

    BULLETIN = "bulletin"
    LESSON = "lesson"


class NoteState(StrEnum):
    """Drafts are counted but never offered; retired notes are kept and no longer found."""

    DRAFT = "draft"
    PUBLISHED = "published"
    RETIRED = "retired"


class Grade(StrEnum):
    """How well a note matches a complaint."""

    STRONG = "strong"
    PARTIAL = "partial"
    WEAK = "weak"


@dataclass(frozen=True, slots=True)
class NoteDocument:
    """One document of a note, kept as it came (a recall has several)."""

    name: str
    text: str


@dataclass(frozen=True, slots=True)
class NoteDraft:
    """The content of a note before it has an id.

    `conditions` are the bulletin's listed conditions, `precautions` and `relearns` one line each;
    `exact_entries` are texts that must be typed exactly as printed. `source` names where it came from
    ("shop", "recall communications", ...), `identity` is what a re-import recognises it by.
    """

    kind: NoteKind
    title: str
    number: str = ""
    symptom: str = ""
    body: str = ""
    conditions: str = ""
    codes: tuple[str, ...] = ()
    coverage: Coverage = ()
    steps: tuple[CalibrationStep, ...] = ()
    documents: tuple[NoteDocument, ...] = ()
    precautions: tuple[str, ...] = ()
    relearns: tuple[str, ...] = ()
    exact_entries: tuple[str, ...] = ()
    system: str = ""
    state: NoteState = NoteState.PUBLISHED
    published_on: date | None = None
    source: str = "shop"
    identity: str = ""


@dataclass(frozen=True, slots=True)
class Note:
    """A note as it stands: its content, id, version and who wrote it last."""

    id: int
    version: int
    content: NoteDraft
    author: str = ""

    @property
    def is_update(self) -> bool:
        """An update is a bulletin whose remedy is a reflash."""
        return self.content.kind is NoteKind.BULLETIN and bool(self.content.steps)
