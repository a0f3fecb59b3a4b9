"""Bodies about shop talk."""

from __future__ import annotations

from datetime import datetime

from api.schemas.base import In, Out, Word


class ConceptOut(Out):
    concept: str
    name: str
    kind: str
    phrases: list[str]


class EntryOut(Out):
    """A phrase that the shop added to a concept, or took out of it (`removes`)."""

    id: int
    concept: str
    phrase: str
    removes: bool
    author: str
    added_at: datetime
    undone_by: str
    undone_at: datetime | None


class EntryBody(In):
    concept: Word
    phrase: Word
    removes: bool = False
