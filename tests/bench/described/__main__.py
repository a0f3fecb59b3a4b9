"""Holds the running interface to its description: `python -m tests.bench.described [SECONDS] [SEED] [PHASES]`

schemathesis sends examples, the edges of every field, random bodies, and what the answer of one call gives
to another (examples, coverage, fuzzing, stateful), as the owner of the demo, and checks every answer. It ends
with its time (eight minutes; the demo is filled before), which the last two go on to use up. What
its checks are not held to stands in `schemathesis.toml` with the reason, what no schema says in `rules.py`.
"""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from api.description.openapi import Described
from kb.desk.context import RunningShop
from tests.applications import interface_over

HERE = Path(__file__).parent
SECONDS, SEED, ALL_PHASES, EACH = "480", "1", "examples,coverage,fuzzing,stateful", "20"


@contextmanager
def demo(folder: Path) -> Iterator[str]:
    """The address of a filled demo; what it said of faults of its own is printed at the end."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = str(free.getsockname()[1])
    said = folder / "said.txt"
    command = [sys.executable, "-m", "tests.bench.described.server", "demo", "--port", port]
    with said.open("w") as out, subprocess.Popen(command, stdout=out, stderr=out) as server:
        try:
            while "The demo is filled." not in said.read_text("utf-8"):
                time.sleep(1)
            yield f"http://127.0.0.1:{port}"
        finally:
            server.terminate()
            print(*[line for line in said.read_text("utf-8").splitlines() if "Error" in line], sep="\n")


def main(seconds: str = SECONDS, seed: str = SEED, phases: str = ALL_PHASES) -> int:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        os.environ |= {"BEFOREFLASH_DATA": name, "SCHEMATHESIS_HOOKS": "tests.bench.described.as_owner"}
        described = folder / "openapi.json"
        described.write_text(json.dumps(description(folder)), "utf-8")
        config = ["--config-file", str(HERE / "schemathesis.toml"), "run", str(described)]
        asked = ["--phases", phases, "-n", EACH, "-c", "all", "--continue-on-failure", "--no-shrink"]
        asked += ["--max-time", seconds, "--seed", seed]
        with demo(folder) as url:
            command = [sys.executable, "-m", "schemathesis.cli", *config, "--url", url, *asked]
            return subprocess.run(command).returncode


def description(folder: Path) -> object:
    shop = RunningShop.open(f"sqlite:///{folder / 'empty.db'}")
    made: Described = interface_over(shop)
    return made.openapi()


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
