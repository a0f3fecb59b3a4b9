"""The demo as `beforeflash demo` starts it, with as many anonymous calls as anybody likes.

Thousands are made to see that each is refused; the limit has tests of its own.
"""

from __future__ import annotations

import sys
from datetime import timedelta

from api import cli
from api.rate_limits import Limits


def no_wait(self: Limits, shop: object, address: str) -> timedelta:
    return timedelta()


if __name__ == "__main__":
    Limits.take = no_wait  # type: ignore[method-assign]
    sys.exit(cli.main(sys.argv[1:]))
