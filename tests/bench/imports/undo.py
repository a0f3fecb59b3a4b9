"""How long an undo of an import of 8,000 notes keeps others from writing.

`python -m tests.bench.imports.undo`. A second process's hold on the same database writes all the while, on
SQLite and on PostgreSQL.
"""

from __future__ import annotations

import os
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import cycle, islice
from pathlib import Path

from kb.desk.context import RunningShop
from kb.desk.imports import import_undo, imports
from tests import postgres
from tests.factories import actor_of

NOTES = 8_000
_WORDS = (
    "stall",
    "surge",
    "hesitate",
    "crank",
    "idle",
    "shudder",
    "flare",
    "harsh",
    "battery",
    "drain",
    "lamp",
)


def notes_file(notes: int) -> bytes:
    """Bulletins and lessons of some forty words, each with coverage and a code."""
    lines = ["kind,title,number,symptom,body,make,model,years,codes,module,old_ids,new_id"]
    for one in range(notes):
        words = " ".join(islice(cycle(_WORDS), one % 16, one % 16 + 8))
        number, step = (f"TB-{one:05d}", f"PCM,A{one:05d}A,A{one:05d}B") if one % 2 else ("", ",,")
        kind = "bulletin" if one % 2 else "lesson"
        lines.append(
            f"{kind},{words} {one},{number},{words},{words * 4},Tarn,Vell,2015-2019,P0{one % 900:03d},{step}"
        )
    return "\n".join(lines).encode()


@contextmanager
def another_writer(url: str) -> Iterator[list[float]]:
    """Seconds that each of its writes waited for the pen and took."""
    shop, ended, waited = RunningShop.open(url), threading.Event(), list[float]()

    def write() -> None:
        while not ended.wait(0.02):
            begun = time.perf_counter()
            with shop.writing() as desk:
                desk.bump("lexicon")
            waited.append(time.perf_counter() - begun)

    thread = threading.Thread(target=write)
    thread.start()
    try:
        yield waited
    finally:
        ended.set()
        thread.join()
        shop.close()


def measure(url: str) -> None:
    shop = RunningShop.open(url)
    lead = actor_of(shop, "lead")
    job = imports.run_import(shop, lead, "notes", "notes.csv", notes_file(NOTES))
    with another_writer(url) as waited:
        begun = time.perf_counter()
        import_undo.undo_import(shop, lead, job)
        took = time.perf_counter() - begun
    name = shop.records.engine.dialect.name
    shop.close()
    print(
        f"{name:11} undone in {took:5.1f} s; {len(waited)} writes meanwhile the longest {max(waited):.3f} s"
    )


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        measure(f"sqlite:///{Path(folder) / 'shop.db'}")
        os.environ.setdefault("XDG_RUNTIME_DIR", folder)
        with postgres.server(lambda url: RunningShop.open(url).close()) as url, postgres.database(url) as one:
            measure(one)


if __name__ == "__main__":
    main()
