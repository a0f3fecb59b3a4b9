"""What each command of the command line does."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

WHOLE_SHOP = "shop"
"""What `import` takes as a shop: what `export` wrote."""


def say(line: str = "") -> None:
    """One line on standard output."""
    sys.stdout.write(f"{_as_called(line)}\n")
    sys.stdout.flush()


def say_json(value: Any) -> None:
    """A value for a program: JSON on standard output, moments and days as ISO text."""
    sys.stdout.write(f"{json.dumps(value, indent=2, default=str)}\n")
    sys.stdout.flush()


def say_aside(line: str) -> None:
    """One line on standard error, where it is in no program's way."""
    sys.stderr.write(f"{_as_called(line)}\n")


def _as_called(line: str) -> str:
    """The commands that a sentence names, as this one was typed: `.venv/bin/beforeflash restore`."""
    called = sys.argv[0]
    return line.replace("`beforeflash ", f"`{called} ") if Path(called).stem == "beforeflash" else line
