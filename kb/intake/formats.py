"""The formats that can be imported, by the name that people type."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from kb.intake.government import manufacturer_communications, recall_communications, service_bulletins
from kb.intake.history import history
from kb.intake.history.history import HistoryItem
from kb.intake.notes import notes
from kb.intake.rows import NoteItem, ReadOptions

Read = Callable[[bytes, ReadOptions], Iterator[NoteItem | HistoryItem]]


@dataclass(frozen=True, slots=True)
class Importer:
    """One format: its name, what it is in a few words, its reader, and the columns a shop may map to its own.

    `columns` is empty for the formats of the government, whose columns are fixed; `days` are those with days.
    """

    name: str
    title: str
    read: Read
    columns: tuple[str, ...] = ()
    days: tuple[str, ...] = ()


FORMATS: Mapping[str, Importer] = MappingProxyType(
    {
        importer.name: importer
        for importer in (
            Importer(history.NAME, "the shop's history (CSV)", history.read, history.COLUMNS, history.DAYS),
            Importer(
                notes.NAME,
                "bulletins and lessons in bulk (CSV or JSON lines)",
                notes.read,
                notes.COLUMNS,
                notes.DAYS,
            ),
            Importer(
                recall_communications.NAME,
                "recall communications (6-field CSV or its zip)",
                recall_communications.read,
            ),
            Importer(
                manufacturer_communications.NAME,
                "manufacturer communications (14 fields, TAB, or the zip)",
                manufacturer_communications.read,
            ),
            Importer(
                service_bulletins.NAME,
                "older service bulletins (10 fields, TAB, or the zip)",
                service_bulletins.read,
            ),
        )
    }
)
