"""Recall communications as the United States government publishes them: 6 fields of quoted CSV, or its zip.

One row for every document, product and model year; one note for every NHTSA ID, with its distinct documents
(white space folded) and its makes, models and years. 9999 is a year not known.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator

from kb.errors import Unreadable
from kb.intake.government.gather import Building, Gathering, Layout, gather
from kb.intake.government.remedies import read_remedy
from kb.intake.government.titles import compose
from kb.intake.government.wanted import of_recall
from kb.intake.rows import NoteItem, ReadOptions
from kb.intake.source import open_text
from kb.intake.tables import csv_rows, header_of
from kb.intake.text.codes_said import codes_of
from kb.nouns.lead.notes_wanted import Beside
from kb.nouns.notes import RECALLS, NoteDocument, NoteDraft, NoteKind
from kb.nouns.vehicles import Coverage

NAME = "recall-communications"
HEADER = ("NHTSA ID", "DOCUMENT NAME", "MAKE", "MODEL", "MODEL YEAR", "SUMMARY")
_LAYOUT = Layout(width=6, key=0, document=1, make=2, model=3, year=4, summary=5)


def read(data: bytes, options: ReadOptions) -> Iterator[NoteItem]:
    """Notes of a file of recall communications. Raises Unreadable at once where nothing can be read."""
    source = open_text(data)
    header = [name.upper() for name in header_of(source)]
    if header != list(HEADER):
        raise Unreadable(
            f"The first line of a recall communications file is {', '.join(HEADER)}. "
            "Choose the format that fits this file, or fetch it again."
        )
    return gather(source, csv_rows, _LAYOUT, Building(note_of, _beside), options, headed=True)


def note_of(rows: Gathering) -> NoteDraft:
    """The note of one recall."""
    number, coverage = rows.first[0].strip(), rows.coverage()
    read = read_remedy(list(rows.texts))
    return NoteDraft(
        kind=NoteKind.BULLETIN,
        title=compose(coverage, list(rows.texts), read, _equipment(number, coverage)),
        number=number,
        codes=codes_of(rows.texts),
        coverage=coverage,
        documents=tuple(
            NoteDocument(", ".join(names), _readable(rows.printed[t])) for t, names in rows.texts.items()
        ),
        remedy=read.remedy,
        remedy_module=read.module,
        source=RECALLS,
        identity=f"{NAME}:{number}",
    )


def _beside(rows: Gathering) -> Beside | None:
    return of_recall(rows.first[0].strip(), rows.products, rows.texts)


def _equipment(number: str, coverage: Coverage) -> str:
    """Where a part or a tire is recalled ("24E096"), its name stands in place of a model."""
    named = coverage[0].model if len(coverage) == 1 else ""
    return {"E": named, "T": f"{named} tires".strip()}.get(number[2:3], "")


def _readable(text: str) -> str:
    """The text as printed, with the source's escaped signs undone; bullets of private fonts become dots."""
    lines = html.unescape(text).replace("\r\n", "\n")
    return re.sub(r"[\ue000-\uf8ff]", "·", lines).strip()
