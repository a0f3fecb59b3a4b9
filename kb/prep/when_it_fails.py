"""What is at hand for when programming fails: what is missing of it, and whether it is too late today.

Common practice, no source: a session that stops is recovered with the manufacturer's support, so it is begun
while that answers and while there is time before closing.
"""

from __future__ import annotations

from datetime import time

from kb.errors import BadInput
from kb.nouns.bay.failure_sheets import FailureSheetDraft, WhenItFails
from kb.nouns.days import time_words, typed_time

_PARTS = {
    "support_line": "support line",
    "support_hours": "its hours",
    "latest_start": "latest start of the day",
    "module_price_minor": "price of a module",
    "module_days": "days until one is here",
    "tow": "who tows",
}


def when_it_fails(make: str, sheet: FailureSheetDraft | None, now: time, price: str = "") -> WhenItFails:
    """The sheet as it is shown at `now`, the shop's local time; `price` is that of a module in words."""
    told = sheet or FailureSheetDraft(make)
    missing = tuple(words for name, words in _PARTS.items() if getattr(told, name) in ("", None))
    return WhenItFails(make, sheet, missing, too_late(told.latest_start, now), told_customer(told, price))


def too_late(latest_start: str, now: time) -> str:
    """Such as "It is 4:10 PM; the latest start is 3:30 PM: tomorrow."; empty where it is not."""
    if not latest_start or now <= time.fromisoformat(latest_start):
        return ""
    last = time_words(time.fromisoformat(latest_start))
    return f"It is {time_words(now)}; the latest start is {last}: tomorrow."


def told_customer(sheet: FailureSheetDraft, price: str = "") -> str:
    """The sheet's own sentence, else what is known of a lost module."""
    if sheet.customer_sentence:
        return sheet.customer_sentence
    days = f"{sheet.module_days} day{'' if sheet.module_days == 1 else 's'}" if sheet.module_days else ""
    new = " and ".join(filter(None, (price and f"costs {price}", days and f"takes {days}")))
    lost = f" If the module does not come back, a new one {new}." if new else ""
    return (
        "The programming stopped with an error. We are bringing the module back by the manufacturer's "
        f"steps and call you as soon as we know.{lost}"
    )


def read_clock(typed: str) -> str:
    """A time of day as it is kept, "15:30", from "3:30 PM", "3:30p" or "15:30"; empty for nothing.

    Raises BadInput for what is no time of day.
    """
    if not typed.strip():
        return ""
    at = typed_time(typed)
    if at is None:
        raise BadInput("Enter a time of day, such as 3:30 PM.", fields={"latest_start": "such as 3:30 PM"})
    return f"{at:%H:%M}"
