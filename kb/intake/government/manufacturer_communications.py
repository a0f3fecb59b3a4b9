"""Manufacturer communications, current layout: 14 fields separated by TAB, no header, or the zip of it.

One row for every communication, model year and component; one note for every NHTSA ID number. The maker's
own number is not unique, so the identity is the NHTSA ID. The layout is second-hand: the official text was
not found.
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.intake.government.gather import Building, Gathering, Layout, gather
from kb.intake.government.government_tab import tab_beside, tab_note
from kb.intake.rows import NoteItem, ReadOptions
from kb.intake.source import open_text
from kb.intake.tables import require_width, tab_rows
from kb.nouns.notes import NoteDraft

NAME = "manufacturer-communications"
_LAYOUT = Layout(width=14, key=0, make=7, model=8, year=9, summary=13, component=10)
_NUMBER, _PUBLISHED = 3, 4


def read(data: bytes, options: ReadOptions) -> Iterator[NoteItem]:
    """Notes of a file of manufacturer communications. Raises Unreadable where nothing can be read."""
    source = open_text(data)
    require_width(tab_rows(source), _LAYOUT.width, NAME)
    return gather(source, tab_rows, _LAYOUT, Building(_note, tab_beside), options)


def _note(rows: Gathering) -> NoteDraft:
    key = rows.first[_LAYOUT.key].strip()
    number = rows.first[_NUMBER].strip() or key
    return tab_note(rows, NAME, "manufacturer communications", key, number, rows.first[_PUBLISHED])
