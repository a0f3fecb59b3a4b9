"""Bodies about shop talk."""

from __future__ import annotations

from api.schemas.base import In, Word


class EntryBody(In):
    concept: Word
    phrase: Word
    removes: bool = False
