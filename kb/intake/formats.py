"""The formats that can be imported, by the name that people type."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from kb.intake.columns import own_table
from kb.intake.government import manufacturer_communications, recall_communications, service_bulletins
from kb.intake.history import history
from kb.intake.history.history import HistoryItem
from kb.intake.notes import notes
from kb.intake.notes.note_lines import are_json_lines
from kb.intake.own_table.table import NoRow, Table, never
from kb.intake.own_table.totals import is_no_row
from kb.intake.own_table.workbooks import is_workbook
from kb.intake.rows import NoteItem, ReadOptions
from kb.intake.source import open_text
from kb.nouns.imports import AS_IT_STANDS, HowToRead

Read = Callable[[bytes, ReadOptions], Iterator[NoteItem | HistoryItem]]


@dataclass(frozen=True, slots=True)
class Importer:
    """One of the formats of `kb/nouns/imports.py`: its name, its reader, and the columns a shop may map.

    `columns` is empty for the formats of the government, whose columns are fixed; `days` are those with days,
    `no_row` tells lines that are totals.
    """

    name: str
    read: Read
    columns: tuple[str, ...] = ()
    days: tuple[str, ...] = ()
    no_row: NoRow = never


FORMATS: Mapping[str, Importer] = MappingProxyType(
    {
        importer.name: importer
        for importer in (
            Importer(history.NAME, history.read, history.COLUMNS, history.DAYS, is_no_row),
            Importer(notes.NAME, notes.read, notes.COLUMNS, notes.DAYS),
            Importer(recall_communications.NAME, recall_communications.read),
            Importer(manufacturer_communications.NAME, manufacturer_communications.read),
            Importer(service_bulletins.NAME, service_bulletins.read),
        )
    }
)


def table_of(importer: Importer, data: bytes, how: HowToRead = AS_IT_STANDS) -> Table | None:
    """The table of a file whose columns somebody may choose; None where they are fixed, as in JSON lines."""
    if not importer.columns or (not is_workbook(data) and are_json_lines(open_text(data))):
        return None
    return own_table(data, how.layout, (*importer.columns, *how.columns), importer.no_row)
