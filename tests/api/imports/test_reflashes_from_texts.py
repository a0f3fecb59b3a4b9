"""An ordinary export whose rows name no update: its texts are read, looked at, counted, and taken back."""

from __future__ import annotations

import csv
import io
import json
import random
import time
from collections import Counter
from collections.abc import Iterator
from datetime import date, timedelta

import httpx
import pytest

from tests import patience
from tests.api.bay.test_whole_job import ok
from tests.api.conftest import StartServer

ROWS = 900
MAPPING = {
    "RO": "ro_number",
    "Opened": "opened_on",
    "Concern": "complaint",
    "Correction": "work_done",
    "Last seen": "last_seen_on",
}
REFLASHES = (
    ("reprog'd TCM per {u}, rt ok", "gone"),
    ("{u}: reprogrammed TCM. Test drove 12 mi, no concerns", "gone"),
    ("REPROGRAMMED TCM PER TSB {u}. STILL SHUDDERS.", "still there"),
    ("Flashed TCM with newest calibration per {u}", "not told"),
)
OTHERS = (
    "Replaced spark plugs and coils",
    "Cut and programmed 2 keys",
    "Recommended TCM reflash. Customer declined.",
    "R&R TCM, programmed new unit",
    "checked for updates, TCM at latest calibration",
    "dealer to reprogram TCM",
    "attempted TCM reflash, comm lost @ 43%, module dead, towed to dlr",
    "reset clock and programmed radio stations",
)
NUMBERS = ("TRN-19-044A", "TRN-21-007B")


def export(chance: random.Random) -> tuple[bytes, Counter[str], Counter[str]]:
    """A file, and by update how many of its rows were reflashed, and of those how many still did it."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(MAPPING)
    tried: Counter[str] = Counter()
    failed: Counter[str] = Counter()
    for n in range(ROWS):
        opened = date(2024, 1, 2) + timedelta(days=chance.randrange(500))
        number = chance.choice(NUMBERS)
        text, outcome = chance.choice(REFLASHES) if chance.random() < 0.3 else (chance.choice(OTHERS), "")
        tried[number] += bool(outcome)
        failed[number] += outcome == "still there"
        seen = opened + timedelta(days=chance.randrange(10, 300))
        writer.writerow((10_000 + n, opened, "shudders at 40", text.format(u=number), seen))
    return out.getvalue().encode(), tried, failed


@pytest.fixture(params=["sqlite", "postgresql"])
def lead(request: pytest.FixtureRequest, start_server: StartServer) -> Iterator[httpx.Client]:
    database: dict[str, str] = {}
    if request.param == "postgresql":
        database["BEFOREFLASH_DATABASE_URL"] = request.getfixturevalue("postgres_database")
    with start_server(**database).client("lead") as client:
        yield client


def imported(lead: httpx.Client, data: bytes) -> int:
    form = {"format": "history", "mapping": json.dumps(MAPPING)}
    job: int = ok(lead.post("/api/imports", data=form, files={"file": ("export.csv", data)}))["id"]
    give_up = time.monotonic() + patience.LONG
    while ok(lead.get(f"/api/imports/{job}"))["state"] == "running" and time.monotonic() < give_up:
        time.sleep(0.5)
    return job


def report(lead: httpx.Client) -> dict[str, tuple[int, int]]:
    rows = ok(lead.get("/api/reports/reflashes"))["rows"]
    return {row["update"]: (row["tried"], row["failed_at_road_test"]) for row in rows}


def test_a_whole_file_of_texts_is_looked_at_counted_and_taken_back(lead: httpx.Client) -> None:
    data, tried, failed = export(random.Random(15))
    job = imported(lead, data)
    path = f"/api/imports/{job}/reflashes-read"
    read = ok(lead.get(path))
    assert sum(group["open"] for group in read["groups"]) == sum(tried.values())
    assert report(lead) == {}
    first = read["groups"][0]
    texts = ok(lead.get(f"{path}/{first['alike']}", params={"limit": 5}))
    begin, end = texts[0]["marks"][0]
    assert texts[0]["text"][begin:end].lower() in ("reprog'd", "reprogrammed", "flashed")
    left = ok(lead.post(f"{path}/{first['alike']}", json={"answer": "leave", "only": [texts[0]["id"]]}))
    assert left["done"] == 1
    counted = ok(lead.post(path))
    assert counted["done"] == sum(tried.values()) - 1
    taken = ok(lead.post(f"{path}/{first['alike']}", json={"answer": "take", "only": [texts[0]["id"]]}))
    assert taken["done"] == 1
    assert report(lead) == {number: (tried[number], failed[number]) for number in NUMBERS}
    again = ok(lead.get(f"/api/imports/{imported(lead, data)}"))
    assert (again["unchanged"], again["reflashes_read"]) == (ROWS, 0)
    undone = ok(lead.post(f"/api/imports/{job}/undo"))
    assert (undone["state"], undone["kept"]) == ("undone", [])
    assert report(lead) == {}
    assert ok(lead.get("/api/notes"))["notes"] == []
