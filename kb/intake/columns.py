"""The columns of a file as a person sees them: their names, examples, and what each could be read as."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from types import MappingProxyType

from rapidfuzz import fuzz, process

from kb.errors import BadInput
from kb.intake.cells import read_cell
from kb.intake.fields import fold
from kb.intake.rows import RowError
from kb.intake.source import open_text
from kb.intake.tables import csv_rows, header_of

EXAMPLES = 3
LOOK_THROUGH = 200
ALIKE = 84.0
"""Likeness of two names, of 100, from which one is taken for a slip of the other ("complant")."""

USUAL_NAMES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "ro_number": (
            "ro",
            "ro no",
            "ro #",
            "repair order",
            "order no",
            "order number",
            "work order",
        ),
        "line": ("ro line", "job line", "concern line"),
        "opened_on": ("date opened", "opened", "date in", "ro date", "order date"),
        "vin": ("vehicle id", "vehicle identification number", "chassis no"),
        "make": ("manufacturer", "brand"),
        "model": ("vehicle model", "model name"),
        "year": ("model year", "my", "yr"),
        "odometer": ("mileage", "miles", "odo", "mileage in", "odometer in"),
        "complaint": ("concern", "symptom", "customer concern", "customer states", "description"),
        "codes": ("dtc", "dtcs", "trouble codes", "fault codes"),
        "module": ("control module", "control unit", "ecu"),
        "calibration_before": (
            "old",
            "old id",
            "old calibration",
            "cal before",
            "calibration id before",
            "old cal id",
        ),
        "calibration_after": (
            "new",
            "new id",
            "new calibration",
            "cal after",
            "calibration id after",
            "new cal id",
        ),
        "update": ("bulletin", "bulletin no", "bulletin number", "tsb"),
        "title": ("headline", "heading", "subject"),
        "number": ("bulletin", "bulletin no", "bulletin number", "tsb"),
        "reflashed_on": ("reflash date", "date reflashed", "programmed on", "date programmed", "flash date"),
        "duplicated_before": ("duplicated", "verified concern", "concern verified"),
        "gone_at_road_test": ("road test ok", "road test passed", "fixed at road test"),
        "other_work": ("also done", "other repairs", "additional work"),
        "returned_on": ("comeback date", "date returned", "came back on", "comeback"),
        "last_seen_on": ("last seen", "last known ok", "last visit"),
        "other_cause": ("root cause", "real cause", "cause found"),
        "cost": ("comeback cost", "cost of comeback"),
        "published_on": ("date published", "issued", "issue date"),
        "system": ("component", "component group"),
    }
)
"""What shops call these columns in their own tables (common practice, no source). Only ever a suggestion."""


@dataclass(frozen=True, slots=True)
class FileColumn:
    """One column of a file: its name as it stands there, and its first different values."""

    name: str
    examples: tuple[str, ...]


def columns_of(data: bytes) -> tuple[FileColumn, ...]:
    """The columns of a CSV file, in its order. Raises Unreadable as the importers do."""
    source = open_text(data)
    header = header_of(source)
    seen: list[dict[str, None]] = [{} for _ in header]
    for row in islice(csv_rows(source), 1, LOOK_THROUGH):
        if isinstance(row, RowError):
            continue
        for values, cell in zip(seen, row[1], strict=False):
            text = " ".join(read_cell(cell).split())
            if text and len(values) < EXAMPLES:
                values.setdefault(text)
    return tuple(FileColumn(name, tuple(values)) for name, values in zip(header, seen, strict=True))


def values_of(data: bytes, names: Collection[str], rows: int) -> Iterator[str]:
    """What stands under the named columns in the first so many rows."""
    source = open_text(data)
    places = [place for place, name in enumerate(header_of(source)) if name in names]
    for row in islice(csv_rows(source), 1, rows + 1):
        if not isinstance(row, RowError):
            yield from (row[1][place].strip() for place in places if place < len(row[1]))


def suggest(
    names: Sequence[str], known: Sequence[str], before: Mapping[str, str] | None = None
) -> dict[str, str]:
    """What each column could be read as, empty for none; each of `known` is given out once.

    First come names that are ours, then what a shop chose `before`, then usual names, then slips of any.
    """
    chosen = {fold(theirs): ours for theirs, ours in (before or {}).items() if ours in known or not ours}
    usual = {fold(word): ours for ours in known for word in USUAL_NAMES.get(ours, ())}
    own = {fold(ours): ours for ours in known}
    read_as: dict[str, str] = {}
    for table in (own | chosen, usual):
        for name in names:
            ours = table.get(fold(name))
            if name not in read_as and ours is not None and (not ours or ours not in read_as.values()):
                read_as[name] = ours
    for name in names:
        if name not in read_as:
            read_as[name] = _slip_of(name, {**usual, **own}, set(read_as.values()))
    return read_as


def refuse_double(read_as: Mapping[str, str]) -> None:
    """Raise BadInput where two columns are read as one."""
    taken: dict[str, str] = {}
    for theirs, ours in read_as.items():
        if ours and ours in taken:
            raise BadInput(
                f"Two columns are read as {ours}: “{taken[ours]}” and “{theirs}”. Leave one of them out.",
                fields={theirs: f"also read as {ours}"},
            )
        taken[ours] = theirs


def _slip_of(name: str, words: Mapping[str, str], taken: set[str]) -> str:
    free = {word: ours for word, ours in words.items() if ours not in taken}
    typed = re.sub(r"\W", "", fold(name))
    found = process.extractOne(typed, free.keys(), scorer=fuzz.ratio, score_cutoff=ALIKE)
    return free[found[0]] if found else ""
