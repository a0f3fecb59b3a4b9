"""Notes: what the shop knows, from manufacturers and from its own vehicles."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from kb.nouns.vehicles import CalibrationStep, Coverage, fold_id

RECALLS = "recall communications"
"""The source of notes that are recalls, as the government publishes them."""

KEPT_CURRENT_BY_FILES = frozenset({RECALLS, "manufacturer communications", "service bulletins"})
"""Sources whose notes a newer file of the government brings up to date."""
HISTORY = "history"
"""The source of bare drafts that a history made of the update numbers in it."""


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


class CodeKind(StrEnum):
    """What a note says of a trouble code: it marks the condition, may come with it, or is not part of it.

    Codes of many faults (lean, misfire, lost communication, low voltage) are never defining.
    """

    DEFINING = "defining"
    MAY_BE_STORED = "may_be_stored"
    NOT_PART = "not_part"


class Remedy(StrEnum):
    """What a note says cures it; `NOT_SAID` where it says nothing or nobody has read it yet."""

    NOT_SAID = ""
    SOFTWARE = "software"
    SOFTWARE_AND_PART = "software_and_part"
    INSPECT_THEN_SOFTWARE = "inspect_then_software"
    PART = "part"
    INSPECTION = "inspection"
    NOTICE = "notice"

    @property
    def holds_software(self) -> bool:
        """Whether a reflash is at least one of its outcomes."""
        return self in (Remedy.SOFTWARE, Remedy.SOFTWARE_AND_PART, Remedy.INSPECT_THEN_SOFTWARE)

    @classmethod
    def said_or_implied(cls, said: str, steps: Sequence[CalibrationStep]) -> Remedy:
        """What was said; where nothing was, calibration steps mean software."""
        return cls(said) or (cls.SOFTWARE if steps else cls.NOT_SAID)


def is_update(kind: str, remedy: str, *, has_steps: bool) -> bool:
    """An update is a bulletin whose remedy is a reflash: by its calibration steps, or as it says."""
    return kind == NoteKind.BULLETIN.value and (has_steps or Remedy(remedy).holds_software)


@dataclass(frozen=True, slots=True)
class NoteCode:
    """A trouble code that a note names, and what it says of it."""

    code: str
    kind: CodeKind = CodeKind.DEFINING

    def __str__(self) -> str:
        return self.code


@dataclass(frozen=True, slots=True)
class SpeaksAgainst:
    """One condition or finding under which the note says that its remedy is not the cure.

    `says` is that in a few plain words ("It happens over bumps"); `check` is the key of the check that asks
    for it, empty until the note is saved.
    """

    says: str
    check: str = ""


def within_a_sentence(says: str) -> str:
    """The words of an entry without capital and stop: "it happens over bumps", but "PCV hose leaks"."""
    words = says.rstrip(" .?!")
    begins_small = words[1:2].islower() or words[1:2] == " "
    return words[:1].lower() + words[1:] if begins_small else words


@dataclass(frozen=True, slots=True)
class NoteDocument:
    """One document of a note, kept as it came (a recall has several)."""

    name: str
    text: str


@dataclass(frozen=True, slots=True)
class NoteDraft:
    """The content of a note before it has an id.

    `conditions` are the bulletin's listed conditions, `precautions` and `relearns` one line each;
    `exact_entries` are texts that must be typed exactly as printed. `remedy_module` is the module that the
    remedy is for, where the calibration steps do not say it. `replaces` names the notes whose place it takes,
    by printed number, or "#12" for one without. `source` names where it came from
    ("shop", "recall communications", ...), `identity` is what a re-import recognises it by.
    """

    kind: NoteKind
    title: str
    number: str = ""
    symptom: str = ""
    body: str = ""
    conditions: str = ""
    codes: tuple[NoteCode, ...] = ()
    coverage: Coverage = ()
    steps: tuple[CalibrationStep, ...] = ()
    documents: tuple[NoteDocument, ...] = ()
    precautions: tuple[str, ...] = ()
    relearns: tuple[str, ...] = ()
    exact_entries: tuple[str, ...] = ()
    speaks_against: tuple[SpeaksAgainst, ...] = ()
    replaces: tuple[str, ...] = ()
    remedy: Remedy = Remedy.NOT_SAID
    remedy_module: str = ""
    system: str = ""
    state: NoteState = NoteState.PUBLISHED
    published_on: date | None = None
    source: str = "shop"
    identity: str = ""

    @property
    def code_kinds(self) -> Mapping[str, CodeKind]:
        """What it says of each code that it names."""
        return {one.code: one.kind for one in self.codes}


def folded_name(name: str) -> str:
    """What a note is called by another one, for comparing: its number folded, or "#12" as it stands."""
    plain = name.strip()
    return plain if plain.startswith("#") and plain[1:].isdecimal() else fold_id(plain)


@dataclass(frozen=True, slots=True)
class Note:
    """A note as it stands: its content, id, version and who wrote it last.

    `looked_at_on` is when somebody last said that it is still right, None where nobody did; `look_again_on`
    when that is to be asked anew, None for a year later.
    """

    id: int
    version: int
    content: NoteDraft
    author: str = ""
    looked_at_on: date | None = None
    looked_at_by: str = ""
    look_again_on: date | None = None

    @property
    def is_update(self) -> bool:
        """Whether its remedy is a reflash, its calibration IDs known or not."""
        held = self.content
        return is_update(held.kind, held.remedy, has_steps=bool(held.steps))
