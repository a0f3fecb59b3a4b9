"""What is read of a paper: one value of one field of a note, and the words that it was read from."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Field(StrEnum):
    """The fields of a note that a paper may tell, as programs name them."""

    NUMBER = "number"
    TITLE = "title"
    PUBLISHED_ON = "published_on"
    MAKE = "make"
    MODEL = "model"
    YEAR = "year"
    ENGINE = "engine"
    BUILT_FROM = "built_from"
    BUILT_TO = "built_to"
    MODULE = "module"
    OLD_ID = "old_id"
    NEW_ID = "new_id"
    CODE = "code"
    SYMPTOM = "symptom"
    CONDITION = "condition"
    PRECAUTION = "precaution"
    RELEARN = "relearn"
    EXACT_ENTRY = "exact_entry"
    WINDOW = "window"
    SPEAKS_AGAINST = "speaks_against"
    REPLACES = "replaces"
    REMEDY = "remedy"


@dataclass(frozen=True, slots=True)
class Proposal:
    """One value (days ISO, a year each) and the place of the text that it was read from.

    `step` counts the calibration steps from 1, for what belongs to one; `kind` is what is said of a code.
    """

    field: Field
    value: str
    begins: int
    ends: int
    step: int = 0
    kind: str = ""

    def read_from(self, text: str) -> str:
        """The words of the text that it was read from."""
        return text[self.begins : self.ends]
