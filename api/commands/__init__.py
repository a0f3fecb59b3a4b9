"""What each command of the command line does."""

from __future__ import annotations

import sys

WHOLE_SHOP = "shop"
"""What `import` takes as a shop: what `export` wrote."""


def say(line: str = "") -> None:
    """One line on standard output."""
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


def say_aside(line: str) -> None:
    """One line on standard error, where it is in no program's way."""
    sys.stderr.write(f"{line}\n")
