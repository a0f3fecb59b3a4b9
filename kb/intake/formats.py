"""The formats that can be imported, by the name that people type."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from kb.intake import history, manufacturer_communications, notes, recall_communications, service_bulletins
from kb.intake.history import HistoryItem
from kb.intake.rows import NoteItem, ReadOptions

Read = Callable[[bytes, ReadOptions], Iterator[NoteItem | HistoryItem]]


@dataclass(frozen=True, slots=True)
class Importer:
    """One format: its name, what it is in a few words, and its reader."""

    name: str
    title: str
    read: Read


FORMATS: Mapping[str, Importer] = MappingProxyType(
    {
        importer.name: importer
        for importer in (
            Importer(history.NAME, "the shop's history (CSV)", history.read),
            Importer(notes.NAME, "bulletins and lessons in bulk (CSV)", notes.read),
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
