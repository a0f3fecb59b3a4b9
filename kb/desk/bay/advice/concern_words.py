"""What is said about a concern: the one text and the codes that everything is searched by."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

from kb.nouns.concerns import ReportedCode
from kb.words.normalise import codes_in


class Complained(Protocol):
    """A concern's draft, or its view: what the customer and the technician wrote of it."""

    @property
    def complaint(self) -> str: ...
    @property
    def technician_words(self) -> str: ...
    @property
    def conditions(self) -> tuple[str, ...]: ...
    @property
    def started(self) -> str: ...
    @property
    def codes(self) -> tuple[ReportedCode, ...]: ...


@dataclass(frozen=True, slots=True)
class Said:
    """The words of a concern as one text, and its codes as scanned."""

    text: str
    codes: tuple[str, ...]

    @property
    def codes_present(self) -> frozenset[str]:
        """Codes scanned and codes that the text names."""
        return frozenset((*self.codes, *codes_in(self.text)))


def said_of(concern: Complained) -> Said:
    """Both people's words, the conditions tapped and since when; a sentence each, so that none runs on."""
    parts: Iterable[str] = (
        concern.complaint,
        concern.technician_words,
        ", ".join(concern.conditions),
        concern.started,
    )
    return Said(". ".join(filter(None, parts)), tuple(one.code for one in concern.codes))
