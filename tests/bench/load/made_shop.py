"""A shop of any size in a database: notes recombined from real recalls, complaints, reflashes and outcomes.

Notes are as long as the recalls' (160 words on average, five documents, three lines of coverage), and each
prints one code of its own, as the recalls do; those of a recall that is an update have a calibration, one in
20. Of the concerns one in 200 is open and three in ten were reflashed. Seeded.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import timedelta
from functools import partial
from itertools import islice
from pathlib import Path
from typing import Any

from sqlmodel import SQLModel

from kb.desk.bay.search.entries import UPDATE
from kb.desk.context import CONSOLE, Desk, RunningShop
from kb.records.store.imports.bulk import add_rows, insert_rows
from kb.records.store.notes.updates import published_updates
from kb.records.tables import (
    ConcernRow,
    NoteCoverage,
    NoteDocumentRow,
    NoteRow,
    NoteStep,
    Outcome,
    ProgrammingEvent,
    Reflash,
    RepairOrder,
    VehicleRow,
)
from kb.search.query import IndexEntry
from tests.bench.review import _fitting
from tests.bench.search_corpus import entry_of, read_recalls, recall_paths

RUN = 5_000
OPEN, REFLASHED, CAME_BACK = 0.005, 0.3, 0.2
DAYS = 1_500
_CODES = re.compile(r"\b(?!\d{4}\b)(?:[A-Z]{1,5}-?\d[A-Z0-9-]*|\d[A-Z0-9-]{2,})", re.IGNORECASE)
"""Campaigns, recalls, parts and telephones; no years."""
Row = dict[str, Any]


class Deck:
    """Real recalls to draw from."""

    def __init__(self, recalls: Path, seed: int = 7) -> None:
        read = read_recalls(recall_paths(recalls))
        self.draw = random.Random(seed)
        self.real = [entry_of(recall, number) for number, recall in enumerate(read)]
        texts = [text for recall in read for text in recall.texts]
        self.sentences = sorted({one for text in texts for one in _sentences(text) if len(one) > 15})

    def again(self, text: str, code: str) -> str:
        """As many sentences as a text has, each of two halves, with one code in place of all: notes that name
        one campaign, or repeat one long text, would be of one defect.
        """
        if not text:
            return ""
        return _CODES.sub(code, " ".join(self._sentence() for _ in _sentences(text)))

    def _sentence(self) -> str:
        begun, ended = (self.draw.choice(self.sentences).split() for _ in range(2))
        return " ".join(begun[: len(begun) // 2] + ended[len(ended) // 2 :])

    def entries(self, count: int) -> Iterator[IndexEntry]:
        for number in range(count):
            base, code = self.draw.choice(self.real), f"Q{number:06}"
            yield replace(
                base,
                id=number,
                title=self.again(base.title, code)[:90],
                symptom=self.again(base.symptom, code),
                body=self.again(base.body, code),
                documents=tuple(self.again(text, code) for text in base.documents),
            )

    def complaint(self) -> str:
        """What a customer says: some words of a sentence, one of them misspelled."""
        words = self.draw.choice(self.sentences).lower().split()[:12]
        at = self.draw.randrange(len(words))
        words[at] = words[at].replace("e", "", 1)
        return " ".join(words)


def fill(shop: RunningShop, deck: Deck, notes: int, concerns: int) -> None:
    """Add so many notes and concerns, in transactions of some thousands."""
    entries = deck.entries(notes)
    while some := list(islice(entries, RUN)):
        _write(shop, partial(_notes, deck=deck, entries=some))
    for begin in range(0, concerns, RUN):
        many = min(RUN, concerns - begin)
        _write(shop, partial(_concerns, deck=deck, begin=begin, many=many))


def _write(shop: RunningShop, work: Callable[[Desk], None]) -> None:
    with shop.writing(CONSOLE) as desk:
        work(desk)
        desk.note_down("made", "bench", None)


def _sentences(text: str) -> list[str]:
    return re.split(r"(?<=[.;])\s+", text)


def _rows(desk: Desk, model: type[SQLModel], rows: Sequence[Row]) -> list[int]:
    base: Row = {"shop_id": desk.shop.id, "version": 1}
    return insert_rows(desk.session, model, [_fitting(model, base | row) for row in rows])


def _notes(desk: Desk, deck: Deck, entries: Sequence[IndexEntry]) -> None:
    revision = desk.bump("notes")
    updates = [entry.kind == UPDATE for entry in entries]
    ids = _rows(
        desk,
        NoteRow,
        [_note(desk, one, update, revision) for one, update in zip(entries, updates, strict=True)],
    )
    noted = list(zip(ids, entries, updates, strict=True))
    documents = [
        {"note_id": note, "name": "", "text": text} for note, one, _ in noted for text in one.documents
    ]
    lines = [
        {
            "note_id": note,
            "make": line.make,
            "model": line.model,
            "years": [list(ends) for ends in line.years],
        }
        for note, one, _ in noted
        for line in one.coverage
    ]
    steps = [
        {"note_id": note, "module": "PCM", "old_ids": [f"C{note}A"], "new_id": f"C{note}B"}
        for note, _, update in noted
        if update
    ]
    add_rows(desk.session, NoteDocumentRow, documents)
    add_rows(desk.session, NoteCoverage, [_fitting(NoteCoverage, line) for line in lines])
    add_rows(desk.session, NoteStep, [_fitting(NoteStep, step) for step in steps])


def _note(desk: Desk, entry: IndexEntry, update: bool, revision: int) -> Row:
    return {
        "kind": "bulletin",
        "state": "published",
        "number": f"B-{entry.id}",
        "number_folded": f"B{entry.id}",
        "title": entry.title,
        "symptom": entry.symptom,
        "conditions": entry.conditions,
        "body": entry.body,
        "remedy": "software" if update else "",
        "remedy_module": "PCM" if update else "",
        "source": "bench",
        "author": "bench",
        "changed_at": desk.now,
        "changed_revision": revision,
    }


def _concerns(desk: Desk, deck: Deck, begin: int, many: int) -> None:
    revision, draw = desk.bump("concerns"), deck.draw
    lines = [draw.choice(draw.choice(deck.real).coverage or deck.real[0].coverage) for _ in range(many)]
    cars = [
        {"make": line.make, "model": line.model, "year": line.years[0][0] if line.years else 2022}
        for line in lines
    ]
    vehicles = _rows(desk, VehicleRow, cars)
    days = [desk.today - timedelta(days=draw.randrange(DAYS)) for _ in vehicles]
    orders = _rows(
        desk,
        RepairOrder,
        [
            {"number": f"R{begin + at}", "vehicle_id": vehicle, "opened_on": day}
            for at, (vehicle, day) in enumerate(zip(vehicles, days, strict=True))
        ],
    )
    states = ["open" if draw.random() < OPEN else "closed" for _ in orders]
    rows = [
        {"repair_order_id": order, "line": "A", "complaint": deck.complaint(), "codes_scanned": "not_scanned"}
        | {"state": state, "opened_on": day, "opened_at": desk.now, "opened_by": "bench"}
        | {"closed_on": None if state == "open" else day, "ending": "" if state == "open" else "not_resolved"}
        | {"changed_revision": revision}
        for order, day, state in zip(orders, days, states, strict=True)
    ]
    concerns = _rows(desk, ConcernRow, rows)
    treated = [at for at in range(many) if states[at] == "closed" and draw.random() < REFLASHED]
    _outcomes(desk, deck, [(concerns[at], vehicles[at], days[at]) for at in treated])


def _outcomes(desk: Desk, deck: Deck, treated: Sequence[tuple[int, int, Any]]) -> None:
    desk.bump("outcomes")
    updates = _updates(desk)
    if not updates:
        return
    events = _rows(
        desk,
        ProgrammingEvent,
        [
            {"vehicle_id": vehicle, "technician": "Ines Tovar", "performed_on": day, "recorded_at": desk.now}
            for _, vehicle, day in treated
        ],
    )
    used = [deck.draw.choice(updates) for _ in events]
    modules = [
        {"event_id": event, "position": 1, "module": "PCM", "update_id": update, "result": "completed"}
        for event, update in zip(events, used, strict=True)
    ]
    reflashes = _rows(desk, Reflash, modules)
    failed = [deck.draw.random() < CAME_BACK for _ in used]
    rows = [
        {
            "reflash_id": reflash,
            "concern_id": concern,
            "update_id": update,
            "reflashed_on": day,
            "duplicated_before": "yes",
            "road_test": "gone",
            "counted_as": 1,
            "reflashed_day": day.toordinal(),
            "reflashed_month": day.year * 12 + day.month - 1,
            "event_kind": 2 if bad else 4,
            "event_day": 20 if bad else 60,
            "heard_day": day.toordinal() + 60,
        }
        for reflash, (concern, _, day), update, bad in zip(reflashes, treated, used, failed, strict=True)
    ]
    _rows(desk, Outcome, rows)


def _updates(desk: Desk, most: int = 500) -> list[int]:
    """A shop programs some hundreds of updates again and again."""
    found = published_updates(desk.session, desk.shop.id)
    return [row.id or 0 for row in found[:most]]
