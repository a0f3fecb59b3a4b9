"""What a check measures: its unit, and from which number on it says yes or no."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from enum import StrEnum
from typing import Any

UNITS = ("V", "mV", "A", "mA", "ohms", "rpm", "%", "°F", "°C", "psi", "kPa", "inHg", "ms", "Hz", "s", "in")
"""What values are entered in; a check keeps to one."""


def plain_number(number: float | None) -> str:
    """As a meter shows it: "0.25", "-3", "12000"; empty where none was measured."""
    if number is None:
        return ""
    return f"{number:.6f}".rstrip("0").rstrip(".")


def bounds(limit: float | None, upper: float | None) -> str:
    """Such as "0.2" or "55 to 65"."""
    return " to ".join(plain_number(one) for one in (limit, upper) if one is not None)


class YesWhen(StrEnum):
    """On which side of its limit the number says yes."""

    OVER = "over"
    UNDER = "under"
    WITHIN = "within"


class Decides(StrEnum):
    """Which results the number can give by itself; the other one takes a look besides, and a tap."""

    BOTH = "both"
    YES = "yes"
    NO = "no"


@dataclass(frozen=True, slots=True)
class PrintedLimit:
    """A limit as a note prints it, in the check's unit; `upper` where it prints a range."""

    note_id: int
    limit: float
    upper: float | None = None


@dataclass(frozen=True, slots=True)
class Measure:
    """How the number of a check decides its result.

    Over or under `limit` it says yes, or within `limit` to `upper`; on the other side no, except so near
    (`between`, in the unit) that it is left open. `limit` of None: only a printed one decides. `left_open`
    says what to look at where the number alone leaves it open. Outside `least` to `most` no value can be.
    """

    unit: str
    yes_when: YesWhen = YesWhen.OVER
    limit: float | None = None
    upper: float | None = None
    between: float = 0.0
    decides: Decides = Decides.BOTH
    least: float | None = None
    most: float | None = None
    left_open: str = ""
    printed: tuple[PrintedLimit, ...] = ()

    def plain(self) -> dict[str, Any]:
        """As a row keeps it; `measure_of` reads it again."""
        kept = asdict(self) | {"yes_when": self.yes_when.value, "decides": self.decides.value}
        return kept | {"printed": [asdict(one) for one in self.printed]}


def measure_of(kept: Mapping[str, Any]) -> Measure | None:
    """What a row keeps, as a value; None of an empty one."""
    if not kept:
        return None
    read = dict(kept) | {
        "yes_when": YesWhen(kept["yes_when"]),
        "decides": Decides(kept["decides"]),
        "printed": tuple(PrintedLimit(**one) for one in kept["printed"]),
    }
    return Measure(**read)
