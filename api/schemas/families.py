"""Bodies about shop talk and model families."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated

from pydantic import Field

from api.schemas.base import In, Out, Word
from kb.desk.bay.search.families import FamilyLine


class FamilyBody(In):
    """Names of one make that are one family, or (`apart`) each a model of its own."""

    make: Word
    names: Annotated[list[Word], Field(max_length=50)]
    apart: bool = False


class FamilyOut(Out):
    id: int
    make: str
    names: list[str]
    apart: bool
    author: str
    added_at: datetime
    undone_by: str
    undone_at: datetime | None

    @classmethod
    def of_line(cls, line: FamilyLine) -> FamilyOut:
        entry = line.entry
        return cls.of(line, make=entry.make, names=entry.names, apart=entry.apart)


class EntryBody(In):
    """A phrase of shop talk and the concept that it says."""

    concept: Word
    phrase: Word
    removes: bool = False
