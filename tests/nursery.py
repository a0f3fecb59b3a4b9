"""Starts the program in processes of its own, and loads it once for all of them.

`python -m tests.nursery` reads a line of JSON for each process that is wanted: its arguments, its environment
and the file that takes what it prints. It forks one that has all modules in memory already, and answers with
its number. The child is as real as one that was started anew: it has its own memory and can be killed. Only
the loading is shared, which would otherwise be most of what a test of a server costs.
"""

from __future__ import annotations

import gc
import importlib
import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

_LOOKS_EACH = 0.02  # seconds


@dataclass(frozen=True)
class Process:
    """One of the nursery's children."""

    pid: int

    @property
    def runs(self) -> bool:
        try:
            os.kill(self.pid, 0)
        except ProcessLookupError:
            return False
        return True

    def send_signal(self, number: signal.Signals) -> None:
        with suppress(ProcessLookupError):
            os.kill(self.pid, number)

    def kill(self) -> None:
        self.send_signal(signal.SIGKILL)

    def wait(self, seconds: float) -> None:
        """Until it has ended. Raises TimeoutError if it has not by then."""
        give_up = time.monotonic() + seconds
        while self.runs:
            if time.monotonic() > give_up:
                raise TimeoutError(f"process {self.pid} still runs after {seconds:.0f} s")
            time.sleep(_LOOKS_EACH)


@dataclass(frozen=True)
class Nursery:
    """Where processes of the program are asked for."""

    process: subprocess.Popen[str]

    def start(self, *arguments: str, environment: Mapping[str, str], prints_to: Path) -> Process:
        """`beforeflash ARGUMENTS`, which adds what it prints to a file."""
        assert self.process.stdin
        assert self.process.stdout
        asked = {"arguments": arguments, "environment": dict(environment), "prints_to": str(prints_to)}
        print(json.dumps(asked), file=self.process.stdin, flush=True)
        return Process(int(self.process.stdout.readline()))


@contextmanager
def nursery() -> Iterator[Nursery]:
    command = [sys.executable, "-m", "tests.nursery"]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as process:
        yield Nursery(process)
        assert process.stdin
        process.stdin.close()


def _become(asked: dict[str, Any]) -> None:
    from api import cli

    said = os.open(asked["prints_to"], os.O_WRONLY | os.O_CREAT | os.O_APPEND)
    nothing = os.open(os.devnull, os.O_RDONLY)
    for here, there in ((nothing, 0), (said, 1), (said, 2)):
        os.dup2(here, there)
    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    os.environ.clear()
    os.environ.update(asked["environment"])
    code = 1
    try:
        code = cli.main(asked["arguments"])
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)


def main() -> None:
    gc.disable()
    for module in (
        "api.cli",
        "web.app",
        "api.commands.data",
        "api.commands.serving",
    ):  # once, before the forks
        importlib.import_module(module)
    gc.freeze()  # what is loaded stays, and its memory is shared with the children
    gc.enable()

    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # what has ended leaves nothing to be fetched
    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            _become(json.loads(line))
        sys.stdout.write(f"{child}\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
