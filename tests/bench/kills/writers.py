"""People who save at once, and what they were told of it."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any
from uuid import uuid4

import httpx

from tests import patience
from tests.bench.kills.left import CODES, Saved

_NOTES_CHANGED = 8
_CREATED, _STALE = 201, 409
_LOOKS_EACH = 0.005  # seconds


@dataclass(frozen=True)
class Writing:
    url: str
    headers: Mapping[str, str]
    saved: Saved


def save_on(writing: Writing, writers: int, seconds: float, kill: Callable[[], None]) -> None:
    """Writers save as fast as they can; so long after the first was told so, `kill` ends the server."""
    before, give_up = writing.saved.count, time.monotonic() + patience.LONG
    with ThreadPoolExecutor(writers) as people:
        running = [people.submit(_save_until_cut, writing, number) for number in range(writers)]
        while writing.saved.count == before and time.monotonic() < give_up:
            time.sleep(_LOOKS_EACH)
        time.sleep(seconds)
        kill()
    for one in running:
        one.result()


def _save_until_cut(writing: Writing, number: int) -> None:
    with httpx.Client(base_url=writing.url, headers=writing.headers, timeout=patience.LONG) as client:
        while True:
            number += 1
            path, body = _a_note() if number % 2 else _a_concern()
            try:
                answer = client.post(path, json=body)
            except httpx.TransportError:
                return
            assert answer.status_code == _CREATED, answer.text
            writing.saved.keep(path, answer.json()["id"], body)


def _a_note() -> tuple[str, dict[str, Any]]:
    """A bulletin of nine rows: itself, its codes, coverage, steps, first revision and line of the trail."""
    return "/api/notes", {
        "kind": "bulletin",
        "number": f"K-{uuid4().hex[:12]}",
        "title": "Bucks at light throttle",
        "symptom": "bucks and jerks",
        "codes": list(CODES),
        "coverage": [{"make": "Norvane", "model": name} for name in ("Tessel", "Orlin")],
        "steps": [{"module": name, "old_ids": ["NV10A"], "new_id": "NV10B"} for name in ("PCM", "TCM")],
    }


def _a_concern() -> tuple[str, dict[str, Any]]:
    """A concern with its repair order, vehicle, codes and line of the trail."""
    return "/api/concerns", {
        "ro_number": uuid4().hex[:12],
        "complaint": "bucks and jerks at light throttle",
        "make": "Norvane",
        "model": "Tessel",
        "year": 2019,
        "codes": [{"code": code} for code in CODES],
    }


@dataclass
class Changes:
    """What sixteen people who change the same notes were told, and what is on file at the end."""

    acknowledged: int = 0
    refused_as_stale: int = 0
    errors: int = 0
    lost: int = 0


def change_at_once(url: str, headers: Mapping[str, str], people: int, each: int) -> Changes:
    """Everybody reads a note, adds to its text and saves that over the version read, again if stale."""
    done, counting = Changes(), threading.Lock()
    with httpx.Client(base_url=url, headers=headers, timeout=patience.LONG) as client:
        notes = [_added(client) for _ in range(_NOTES_CHANGED)]

        def change_on(person: int) -> None:
            with httpx.Client(base_url=url, headers=headers, timeout=patience.LONG) as own:
                for number in range(each):
                    told = _changed(own, notes[(person + number) % len(notes)], f" {person}.{number};")
                    with counting:
                        done.acknowledged += told.acknowledged
                        done.refused_as_stale += told.refused_as_stale
                        done.errors += told.errors

        with ThreadPoolExecutor(people) as running:
            list(running.map(change_on, range(people)))
        bodies = [client.get(f"/api/notes/{one}").json()["body"] for one in notes]
    done.lost = done.acknowledged - sum(body.count(";") for body in bodies)
    return done


def _added(client: httpx.Client) -> int:
    path, body = _a_note()
    number: int = client.post(path, json=body).json()["id"]
    return number


def _changed(client: httpx.Client, note: int, words: str) -> Changes:
    """One change, tried until it is taken or answered by an error."""
    told = Changes()
    while True:
        held = client.get(f"/api/notes/{note}").json()
        content = {name: held[name] for name in ("kind", "number", "title", "body", "version")}
        answer = client.put(f"/api/notes/{note}", json=content | {"body": held["body"] + words})
        if answer.status_code == _STALE:
            told.refused_as_stale += 1
            continue
        told.acknowledged += answer.is_success
        told.errors += not answer.is_success
        return told
