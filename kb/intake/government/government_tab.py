"""What the two TAB formats share: days, components, and how a communication becomes a note."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime

from kb.intake.government.gather import Building, Gathering, Layout, gather
from kb.intake.government.remedies import read_remedy
from kb.intake.government.titles import compose
from kb.intake.government.wanted import of_components
from kb.intake.rows import NoteItem, ReadOptions
from kb.intake.source import open_text
from kb.intake.tables import require_width, tab_rows
from kb.intake.text.codes_said import codes_of
from kb.nouns.lead.notes_wanted import Beside
from kb.nouns.notes import NoteDocument, NoteDraft, NoteKind

_CLERK = re.compile(r"\s*\*[A-Z]{2}\s*$")


def day_of(text: str) -> date | None:
    """A day written YYYYMMDD; None where the field is empty or no day."""
    try:
        return datetime.strptime(text.strip(), "%Y%m%d").date()  # noqa: DTZ007 - a day has no zone
    except ValueError:
        return None


def component_words(component: str) -> str:
    """A component without its number and in plain case: "021000 SUSPENSION:FRONT" is "suspension: front"."""
    words = re.sub(r"^\d+\s+", "", component.strip())
    return re.sub(r"\s*:\s*", ": ", words).lower()


@dataclass(frozen=True, slots=True)
class TabFile:
    """A TAB format of the government: its name, what a note says it is from, its columns, and which of them
    is the maker's own number and which the day.
    """

    name: str
    source: str
    layout: Layout
    number: int
    published: int

    def read(self, data: bytes, options: ReadOptions) -> Iterator[NoteItem]:
        """Notes of a file. Raises Unreadable where nothing can be read."""
        text = open_text(data)
        require_width(tab_rows(text), self.layout.width, self.name)
        return gather(text, tab_rows, self.layout, Building(self._note, _beside), options)

    def _note(self, rows: Gathering) -> NoteDraft:
        """One communication: its number, its day, its texts without the clerk's mark at the end."""
        key = rows.first[self.layout.key].strip()
        number = rows.first[self.number].strip() or key
        texts = [t for t in (_CLERK.sub("", text) for text in rows.texts) if t]
        components = [w for w in map(component_words, rows.components) if w]
        coverage = rows.coverage()
        otherwise = _first(texts) or "; ".join(components)
        remedy = read_remedy(texts)
        return NoteDraft(
            kind=NoteKind.BULLETIN,
            title=compose(coverage, texts, remedy, otherwise),
            number=number,
            codes=codes_of(texts),
            coverage=coverage,
            documents=tuple(NoteDocument(number, text) for text in texts),
            remedy=remedy.remedy,
            remedy_module=remedy.module,
            system="; ".join(components),
            published_on=day_of(rows.first[self.published]),
            source=self.source,
            identity=f"{self.name}:{key}",
        )


def _beside(rows: Gathering) -> Beside | None:
    """What the communication is about beside vehicles."""
    coverage = rows.coverage()
    has_year = any(line.years for line in coverage)
    return of_components(map(component_words, rows.components), has_year, [line.make for line in coverage])


def _first(texts: list[str]) -> str:
    return texts[0].split(". ")[0].strip(" .") if texts else ""
