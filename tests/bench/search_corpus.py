"""Recall communications as the program indexes them, and queries with the recall each was written from."""

from __future__ import annotations

import csv
import io
import json
import random
import re
import zipfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from kb.desk.bay.search.entries import note_entry
from kb.intake.government.gather import Gathering
from kb.intake.government.recall_communications import note_of
from kb.nouns.model_years import UNKNOWN_YEAR, ranges_of
from kb.nouns.notes import CodeKind
from kb.nouns.vehicles import CoverageLine, Vehicle
from kb.records.store.notes.note_texts import NoteText
from kb.search.query import IndexEntry


@dataclass
class Recall:
    """One NHTSA ID: its distinct texts (white space folded) and the years of each make and model."""

    number: str
    texts: dict[str, None] = field(default_factory=dict)
    vehicles: dict[tuple[str, str], set[int]] = field(default_factory=dict)


@dataclass(frozen=True)
class Asked:
    """A complaint: the recall meant, one covered vehicle, and by kind the wordings of it."""

    recall: str
    make: str
    model: str
    year: int
    words: Mapping[str, str]
    same: tuple[str, ...] = ()
    """Other recalls that the writer of the words calls the same defect."""

    def vehicle(self, known: int) -> Vehicle:
        """The first so many of make, model and year."""
        year = self.year if known > 2 else None
        return Vehicle(self.make if known else "", self.model if known > 1 else "", year)


def read_recalls(paths: Iterable[Path]) -> list[Recall]:
    """Recalls of some zipped or plain 6-field files, in order of their numbers."""
    recalls: dict[str, Recall] = {}
    for path in paths:
        for row in _rows(path):
            recall = recalls.setdefault(row["NHTSA ID"], Recall(row["NHTSA ID"]))
            text = " ".join(row["SUMMARY"].split())
            if text:
                recall.texts[text] = None
            recall.vehicles.setdefault((row["MAKE"], row["MODEL"]), set()).add(
                int(row["MODEL YEAR"] or UNKNOWN_YEAR)
            )
    return [recalls[number] for number in sorted(recalls)]


def recall_paths(folder: Path) -> list[Path]:
    return sorted(folder.glob("*.zip")) if folder.is_dir() else [folder]


def entry_of(recall: Recall, number: int) -> IndexEntry:
    """A recall as the program searches it once its rows are imported."""
    texts = {text: [recall.number] for text in recall.texts}
    printed = {text: text for text in recall.texts}
    note = note_of(Gathering(0, [recall.number], texts, printed, recall.vehicles))
    return note_entry(
        NoteText(
            number,
            note.kind,
            note.number,
            note.title,
            note.symptom,
            note.conditions,
            note.body,
            tuple(document.text for document in note.documents),
            tuple(one.code for one in note.codes if one.kind is not CodeKind.NOT_PART),
            (),
            note.coverage,
            note.remedy,
        )
    )


def covers(entry: IndexEntry, vehicle: Vehicle) -> bool:
    """Whether a line names the make and model, and the year where that is known."""
    return any(
        (line.make, line.model) == (vehicle.make, vehicle.model)
        and (not vehicle.year or not line.years or any(a <= vehicle.year <= b for a, b in line.years))
        for line in entry.coverage
    )


def read_queries(path: Path) -> list[Asked]:
    """The written queries of a file; a long "complaint" of a pair names its vehicle."""
    return [
        Asked(
            pair["recall"],
            pair["make"],
            pair["model"],
            int(pair["year"]),
            {kind: pair[kind] for kind in ("customer", "tech") if kind in pair}
            | ({"named": pair["complaint"]} if "complaint" in pair else {}),
            (*pair.get("same", ()), *pair.get("near", ())),
        )
        for pair in json.loads(path.read_text(encoding="utf-8"))
    ]


def _rows(path: Path) -> Iterator[dict[str, str]]:
    if path.suffix != ".zip":
        yield from csv.DictReader(io.StringIO(path.read_text(encoding="utf-8"), newline=""))
        return
    with zipfile.ZipFile(path) as archive:
        for name in archive.namelist():
            yield from csv.DictReader(io.StringIO(archive.read(name).decode("utf-8", "replace"), newline=""))


def made_entries(
    recalls: Sequence[Recall], count: int, seed: int = 7, words: int = 34
) -> Iterator[IndexEntry]:
    """Notes of about 45 words recombined from the recalls' own sentences, each for one to three vehicles."""
    draw = random.Random(seed)
    sentences = list(
        {
            s
            for recall in recalls
            for text in recall.texts
            for s in re.split(r"(?<=[.;])\s+", text)
            if len(s) > 15
        }
    )
    sentences.sort()
    vehicles = [
        CoverageLine(make, model, () if UNKNOWN_YEAR in years else ranges_of(years))
        for recall in recalls
        for (make, model), years in recall.vehicles.items()
    ]
    for number in range(count):
        picked: list[str] = []
        length = 0
        while length < words:
            sentence = " ".join(draw.choice(sentences).split()[:40])
            picked.append(sentence)
            length += sentence.count(" ") + 1
        yield IndexEntry(
            number,
            "bulletin",
            body=" ".join(picked),
            coverage=tuple(draw.choices(vehicles, k=draw.randint(1, 3))),
        )
