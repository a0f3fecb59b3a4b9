"""Numbers, days and kept words as a person of the trade reads them (US English)."""

from __future__ import annotations

from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from kb.nouns.chance_words import counted, half_up, in_ten
from kb.nouns.currency import amount_said, symbol
from kb.nouns.days import clock_words, day_words, time_words
from kb.nouns.vehicles import Vehicle

NOT_KNOWN = "not known"


def money(amount: float | None, currency: str = "USD") -> str:
    """An expected cost in whole units, as people say it: "$268", "−$40", "$1,250", "under $1"."""
    if amount is None:
        return NOT_KNOWN
    whole = half_up(abs(amount))
    if amount and not whole:
        return f"under {symbol(currency)}1"
    return f"{'−' if amount < 0 else ''}{symbol(currency)}{whole:,}"


def minor_money(minor: int | None, currency: str = "USD") -> str:
    """As `money`, from minor units; decimals are shown where there are any ("$180.50", "$95")."""
    return NOT_KNOWN if minor is None else amount_said(minor, currency)


def time_of_day(kept: str) -> str:
    """A time of day as it is kept, "15:30", as people say it: "3:30 PM"."""
    return time_words(time.fromisoformat(kept))


def points(difference: float) -> str:
    """A difference of two chances in points of 100, with a true minus: "−12"."""
    whole = round(100 * difference)
    return f"{'−' if whole < 0 else ''}{abs(whole)}"


def chance_of_luck(p_value: float) -> str:
    """A p-value as far as it can be told: "0.034", "under 0.001"."""
    return "under 0.001" if p_value < 0.001 else f"{p_value:.3f}"


def percent(chance: float | None) -> str:
    """A chance 0..1 as "12%"; never "0%" or "100%" for what is only nearly so."""
    if chance is None:
        return NOT_KNOWN
    if 0 < chance < 0.005:
        return "under 1%"
    if 0.995 <= chance < 1:
        return "over 99%"
    return f"{half_up(chance * 100)}%"


def of_ten(chance: float) -> str:
    """A chance as "6 of 10"; never 0 or 10 of them."""
    return in_ten(chance).replace(" in ", " of ")


def count(number: float | None) -> str:
    """A count with thousands commas; a fractional one with a single decimal."""
    if number is None:
        return NOT_KNOWN
    return counted(number)


def megabytes(size: int) -> str:
    """A size in bytes as "1.4 MB" (a million bytes, as disks are sold)."""
    return f"{max(size / 1e6, 0.1):,.1f} MB"


def score(value: float | None) -> str:
    """A score of a forecast, two decimals."""
    return NOT_KNOWN if value is None else f"{value:.2f}".replace("-", "−")


def plural(number: float, one: str, many: str = "") -> str:
    """Such as "1 comeback", "3 comebacks"."""
    return f"{count(number)} {one if number == 1 else many or one + 's'}"


def day(when: date | None, today: date | None = None) -> str:
    """Such as "Oct 31"; with the year when it is not this one: "Oct 31, 2024"."""
    if when is None:
        return NOT_KNOWN
    said = day_words(when)
    return said.partition(",")[0] if today is not None and when.year == today.year else said


def moment(when: datetime | None, timezone: str, today: date) -> str:
    """Such as "today 8:40 AM", otherwise "Oct 31 8:40 AM"."""
    if when is None:
        return NOT_KNOWN
    zone = ZoneInfo(timezone)
    on = when.astimezone(zone).date()
    return f"{'today' if on == today else day(on, today)} {clock_words(when, zone)}"


def last_eight(vin: str) -> str:
    """The last 8 of a VIN, the part that people read to each other."""
    return f"…{vin[-8:]}" if len(vin) > 8 else vin


def minutes(length: float, wait: float = 0) -> str:
    """Such as "12 min"; waiting is said apart because it is not work: "4 min + a night's wait"."""
    work = f"{half_up(length)} min"
    return work if wait <= 0 else f"{work} + {waits(wait)}"


def waits(wait: float) -> str:
    """Such as "a night's wait", "45 min wait"."""
    return "a night's wait" if wait >= 480 else f"{half_up(wait)} min wait"


def vehicle(known: Vehicle) -> str:
    """Such as "2016 Tarn Vale 2.0 T", or that nothing is known of it."""
    return known.name or "vehicle not entered"


def in_a_row(parts: list[str] | tuple[str, ...], last: str = "and") -> str:
    """Such as "a, b and c"."""
    kept = [part for part in parts if part]
    return kept[0] if len(kept) == 1 else f"{', '.join(kept[:-1])} {last} {kept[-1]}" if kept else ""
