"""Fills the demo in a process of its own, so that its pages answer meanwhile.

It is started before there is a database, to import what it needs, and told on a line where it is: URL DAY.
"""

from __future__ import annotations

import sys
import traceback
from datetime import date

from demo_data.load import load
from kb.desk.context import RunningShop
from kb.errors import KbError

FAILED = 1


def main(told: str) -> int:
    """The exit code. A failure is said in a sentence; one that nobody foresaw with where it happened."""
    if not told.strip():
        return 0
    url, day = told.rsplit(maxsplit=1)
    try:
        shop = RunningShop.open(url)
        load(shop, date.fromisoformat(day))
        shop.close()
    except KeyboardInterrupt:
        return 130
    except Exception as error:
        if not isinstance(error, KbError):
            traceback.print_exc()
        sys.stderr.write(f"beforeflash: the demo could not be filled: {error}\n")
        return FAILED
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.stdin.readline()))
