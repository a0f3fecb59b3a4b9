"""Four workers over one index: how soon they answer, and what they hold together."""

from __future__ import annotations

import shutil
from pathlib import Path

import httpx

from tests import patience
from tests.bench.load.server import Server, serving, token_of

QUERIES = ("stall", "airbag light on", "brake pedal goes soft when warm", "no crank cold", "seat belt buckle")
ROUNDS = 40


def measure(folder: Path, database: str, workers: int = 4) -> None:
    """Started without an index, then again with nothing changed; prints seconds and megabytes."""
    shutil.rmtree(folder / "search", ignore_errors=True)
    token = token_of(database, "tech")
    for how in ("without an index", "again, nothing changed"):
        with serving(folder, database, workers) as server:
            found = server.until_found(token)
            ready = server.until_ready(workers)
            said = max(line.rpartition(", ")[2] for line in server.ready())
            print(f"started {how}: first search {found:.1f} s, all {workers} ready {ready:.1f} s,")
            print(f"  of that the index at most {said}")
            print(f"  at rest   {server.memory()}")
            ask(server, token)
            print(f"  at work   {server.memory()}", flush=True)


def ask(server: Server, token: str) -> None:
    """Searches over connections of their own, so that every worker gets some."""
    headers = {"Authorization": f"Bearer {token}"}
    for _ in range(ROUNDS):
        with httpx.Client(base_url=server.url, headers=headers, timeout=patience.LONG) as client:
            for words in QUERIES:
                assert client.get("/api/search", params={"q": words}).status_code == 200
                known = {"q": words, "make": "Kia", "model": "SORENTO"}
                assert client.get("/api/search", params=known).status_code == 200
