"""Latency through HTTP of the search on imported recalls and of the advice in the demo shop.

    python -m tests.bench.http --queries FILE.json --recalls FOLDER_OR_ZIP [--rounds 2]

Starts servers of its own on free ports with data in a temporary folder, asks one request at a time, and
stops them.
"""

from __future__ import annotations

import argparse
import os
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import httpx
import numpy as np
import psutil

from tests.bench.search_corpus import Asked, read_queries, recall_paths
from tests.bench.search_metrics import quality

TOP = 10
SEARCH_GOAL, ADVICE_GOAL = 25, 150  # milliseconds at p95
ADVICE_ROUNDS = 10
STARTS_WITHIN = 120


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--queries", type=Path, required=True)
    parser.add_argument("--recalls", type=Path, required=True)
    parser.add_argument("--rounds", type=int, default=2)
    asked = parser.parse_args()
    print(f"load {psutil.getloadavg()[0]:.1f} on {psutil.cpu_count()} cores")
    with tempfile.TemporaryDirectory(prefix="beforeflash-bench-") as folder:
        search(Path(folder), recall_paths(asked.recalls), read_queries(asked.queries), asked.rounds)
    with tempfile.TemporaryDirectory(prefix="beforeflash-bench-") as folder:
        advice(Path(folder))


def search(folder: Path, recalls: Sequence[Path], pairs: Sequence[Asked], rounds: int) -> None:
    """Every query of the file in both wordings, without and with the vehicle."""
    start = time.perf_counter()
    for file in recalls:
        _command(folder, "import", "recall-communications", str(file))
    print(f"{len(recalls)} files imported in {time.perf_counter() - start:.1f} s")
    with _server(folder, "serve") as client:
        first = _timed(client, "/api/search", {"q": "stall"})[0]
        print(f"first search {first:.0f} ms (waits for the index)")
        for wording in ("customer", "tech"):
            for known in (False, True):
                taken, ranks = [], []
                for pair in list(pairs) * rounds:
                    query = {"q": pair.words[wording], "limit": TOP} | (_vehicle(pair) if known else {})
                    spent, found = _timed(client, "/api/search", query)
                    taken.append(spent)
                    numbers = [one["number"] for one in found["results"]]
                    ranks.append(numbers.index(pair.recall) + 1 if pair.recall in numbers else None)
                q = quality(ranks)
                name = f"search, {wording}{' + vehicle' if known else ''}"
                print(f"{name:28}{_percentiles(taken)}  goal {SEARCH_GOAL}; ", end="")
                print(f"nDCG@10 {q.ndcg10:.3f}, R@1 {q.recall1:.3f}", flush=True)


def advice(folder: Path) -> None:
    """The advice on every open concern of the demo shop: asked first, and again."""
    with _server(folder, "demo") as client:
        ids = [one["id"] for one in client.get("/api/concerns", params={"state": "open"}).json()]
        first = [_timed(client, f"/api/concerns/{one}/advice")[0] for one in ids]
        print(f"{'advice, first time':28}{_percentiles(first)}  {len(ids)} open concerns")
        again = [_timed(client, f"/api/concerns/{one}/advice")[0] for one in ids * ADVICE_ROUNDS]
        print(f"{'advice, again':28}{_percentiles(again)}  goal {ADVICE_GOAL}")


def _vehicle(pair: Asked) -> dict[str, Any]:
    return {"make": pair.make, "model": pair.model}


def _timed(client: httpx.Client, path: str, query: dict[str, Any] | None = None) -> tuple[float, Any]:
    """Milliseconds and the answer."""
    start = time.perf_counter()
    answer = client.get(path, params=query)
    spent = (time.perf_counter() - start) * 1000
    answer.raise_for_status()
    return spent, answer.json()


def _percentiles(taken: Sequence[float]) -> str:
    p50, p95, p99 = np.percentile(taken, [50, 95, 99])
    return f"p50 {p50:6.1f}  p95 {p95:6.1f}  p99 {p99:6.1f} ms"


def _command(folder: Path, *words: str) -> str:
    ran = subprocess.run(
        [sys.executable, "-m", "api.cli", *words],
        env=_environment(folder),
        capture_output=True,
        text=True,
        check=True,
    )
    return ran.stdout.strip()


def _environment(folder: Path) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if not name.startswith("BEFOREFLASH_")}
    return kept | {"BEFOREFLASH_DATA": str(folder)}


@contextmanager
def _server(folder: Path, command: str) -> Iterator[httpx.Client]:
    """A client, signed in as the lead, of a server that runs as long as the block."""
    with socket.create_server(("127.0.0.1", 0)) as probe:
        port = probe.getsockname()[1]
    words = [sys.executable, "-m", "api.cli", command, "--port", str(port)]
    process = subprocess.Popen(words, env=_environment(folder), stdout=subprocess.DEVNULL)
    try:
        url = f"http://127.0.0.1:{port}"
        _wait_for(url, process)
        header = {"Authorization": f"Bearer {_command(folder, 'token', 'lead')}"}
        with httpx.Client(base_url=url, headers=header, timeout=60) as client:
            yield client
    finally:
        process.terminate()
        process.wait(20)


def _wait_for(url: str, process: subprocess.Popen[bytes]) -> None:
    give_up = time.monotonic() + STARTS_WITHIN
    while time.monotonic() < give_up and process.poll() is None:
        try:
            if httpx.get(url, follow_redirects=True, timeout=30).is_success:
                return
        except httpx.TransportError:
            time.sleep(0.1)
    raise SystemExit("The server did not start.")


if __name__ == "__main__":
    main()
