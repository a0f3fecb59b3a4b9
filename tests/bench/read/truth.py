"""What stands on a drawn label, a drawn screen or in a made-up report: invented cars with known numbers.

The check digit is worked out here by 49 CFR 565.15, tables III and IV, typed again. Makes, IDs and numbers
are drawn from a seed and are nobody's.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from random import Random

_LETTERS = "ABCDEFGHJKLMNPRSTUVWXYZ"
_VALUE = dict(
    zip(_LETTERS, (1, 2, 3, 4, 5, 6, 7, 8, 1, 2, 3, 4, 5, 7, 9, 2, 3, 4, 5, 6, 7, 8, 9), strict=True)
)
_WEIGHT = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
_YEARS = "ABCDEFGHJKLMNPRSTVWXY123456789"
MODULES = {
    "ECM": "Engine Control Module",
    "TCM": "Transmission Control Module",
    "BCM": "Body Control Module",
    "ABS": "Anti-lock Brake System",
    "IPC": "Instrument Panel Cluster",
    "SRS": "Airbag",
}
STATES = {
    "current": ("current", "confirmed", "active"),
    "pending": ("pending",),
    "history": ("history", "stored"),
    "permanent": ("permanent",),
}
"""How layouts call each state that the interface names."""


@dataclass(frozen=True, slots=True)
class Code:
    """A trouble code and the state that is said of it."""

    code: str
    status: str


@dataclass(frozen=True, slots=True)
class Module:
    """A module with its numbers and codes."""

    short: str
    ids: tuple[str, ...]
    cvns: tuple[str, ...]
    hardware: str
    software: str
    codes: tuple[Code, ...]


@dataclass(frozen=True, slots=True)
class Car:
    """An invented car as a scan tool would tell it."""

    vin: str
    odometer: int
    voltage: str
    modules: tuple[Module, ...]


def vin(draw: Random) -> str:
    """A VIN of the invented Norvane, as of North America, with a right check digit."""
    body = draw.choice(("1N", "4N", "5N")) + "V" + "".join(draw.choices(_LETTERS + "0123456789", k=6))[1:]
    body += "0" + draw.choice(_YEARS) + draw.choice(_LETTERS) + "".join(draw.choices("0123456789", k=6))
    total = sum(
        weight * (int(s) if s.isdigit() else _VALUE[s]) for s, weight in zip(body, _WEIGHT, strict=True)
    )
    return body[:8] + ("X" if total % 11 == 10 else str(total % 11)) + body[9:]


def calibration_id(draw: Random) -> str:
    """One of five invented forms; letters that look like figures are in them on purpose."""
    mixed = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
    figures = "".join(draw.choices("0123456789", k=8))
    return draw.choice(
        (
            f"{figures[:5]}-{draw.choice(mixed)}{draw.choice(mixed)}{figures[5]}",
            f"{draw.choice('TNKVG')}{figures[:4]}{''.join(draw.choices(mixed, k=3))}",
            f"{figures[:4]}{draw.choice(mixed)}",
            draw.choice("ABFJMR")
            + draw.choice("DOQSB")
            + figures[:4]
            + "".join(draw.choices(mixed, k=2))
            + "07",
            f"{figures[:8]}",
        )
    )


def cvn(draw: Random) -> str:
    return "".join(draw.choices("0123456789ABCDEF", k=8))


def code(draw: Random, letter: str) -> Code:
    base = (
        letter + draw.choice("0012" if letter != "U" else "0013") + "".join(draw.choices("0123456789", k=3))
    )
    kind = "-" + "".join(draw.choices("012345679", k=2)) if draw.random() < 0.2 else ""
    return Code(base + kind, draw.choice(tuple(STATES)))


def car(draw: Random, modules: int) -> Car:
    told = []
    for short in draw.sample(tuple(MODULES), modules):
        letter = {"ECM": "P", "TCM": "P", "BCM": "B", "ABS": "C", "IPC": "U", "SRS": "B"}[short]
        several = draw.choice((1, 1, 1, 2))
        told.append(
            Module(
                short,
                _apart(draw, calibration_id, several),
                _apart(draw, cvn, several),
                f"{draw.choice('HKT')}{draw.randrange(10**6, 10**7)}",
                f"{draw.randrange(10**4, 10**5)}-{draw.choice(_LETTERS)}{draw.randrange(10, 99)}",
                tuple({(one := code(draw, letter)).code: one for _ in range(draw.randrange(0, 4))}.values()),
            )
        )
    return Car(vin(draw), draw.randrange(1200, 210_000), f"{draw.randrange(118, 148) / 10:.1f}", tuple(told))


def _apart(draw: Random, make: Callable[[Random], str], count: int) -> tuple[str, ...]:
    found: dict[str, None] = {}
    while len(found) < count:
        found[make(draw)] = None
    return tuple(found)
