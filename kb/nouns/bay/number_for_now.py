"""What a repair order is called that has no number yet: by day and time, so that it is nobody else's."""

from __future__ import annotations

from datetime import datetime

_BEGINS = "NEW "


def number_for_now(at: datetime) -> str:
    """By the shop's own clock: "NEW 1130 201502"."""
    return f"{_BEGINS}{at:%m%d %H%M%S}"


def is_for_now(number: str) -> bool:
    """Whether a number only stands until somebody types the repair order's own."""
    rest = number.removeprefix(_BEGINS)
    return rest != number and len(rest) == len("1130 201502") and rest.replace(" ", "").isdecimal()
