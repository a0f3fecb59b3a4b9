"""Service bulletins, the older layout: 10 fields a line separated by TAB, no header, or the zip of it.

One row for every bulletin, model and model year; one note for every NHTSA item number. Summaries of this
layout end after 240 characters in the source.
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.intake.government.gather import Building, Gathering, Layout, gather
from kb.intake.government.government_tab import tab_beside, tab_note
from kb.intake.rows import NoteItem, ReadOptions
from kb.intake.source import open_text
from kb.intake.tables import require_width, tab_rows
from kb.nouns.notes import NoteDraft

NAME = "service-bulletins"
_LAYOUT = Layout(width=10, key=2, make=5, model=6, year=7, summary=9, component=4)
_NUMBER, _PUBLISHED = 0, 3


def read(data: bytes, options: ReadOptions) -> Iterator[NoteItem]:
    """Notes of a file of service bulletins. Raises Unreadable where nothing can be read."""
    source = open_text(data)
    require_width(tab_rows(source), _LAYOUT.width, NAME)
    return gather(source, tab_rows, _LAYOUT, Building(_note, tab_beside), options)


def _note(rows: Gathering) -> NoteDraft:
    key = rows.first[_LAYOUT.key].strip()
    number = rows.first[_NUMBER].strip() or key
    return tab_note(rows, NAME, "service bulletins", key, number, rows.first[_PUBLISHED])
