"""What each command of the command line does."""

from __future__ import annotations

import json
import sys
from typing import Any

WHOLE_SHOP = "shop"
"""What `import` takes as a shop: what `export` wrote."""


def say(line: str = "") -> None:
    """One line on standard output."""
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


def say_json(value: Any) -> None:
    """A value for a program: JSON on standard output, moments and days as ISO text."""
    say(json.dumps(value, indent=2, default=str))


def say_aside(line: str) -> None:
    """One line on standard error, where it is in no program's way."""
    sys.stderr.write(f"{line}\n")
