"""What brings vehicles in: the families of complaints, each with its words, checks and other causes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from demo_data.makes import read_toml


@dataclass(frozen=True, slots=True)
class Cause:
    """Something other than software, and the check whose yes points to it (empty: none does)."""

    found: str
    weight: float
    shown_by: str


@dataclass(frozen=True, slots=True)
class Family:
    """One complaint of one model. Make and model are empty where any vehicle may have it."""

    key: str
    updates: tuple[str, ...]
    make: str
    model: str
    system: str
    weight: float
    codes: tuple[str, ...]
    stray_codes: tuple[str, ...]
    code_chance: float
    conditions: tuple[str, ...]
    core: tuple[str, ...]
    near: tuple[str, ...]
    tech: tuple[str, ...]
    checks: tuple[str, ...]
    causes: tuple[Cause, ...]


@cache
def families() -> tuple[Family, ...]:
    return tuple(_family(row) for row in read_toml("families.toml")["family"])


def _family(row: Mapping[str, Any]) -> Family:
    values: dict[str, Any] = {
        name: tuple(value) if isinstance(value, list) else value for name, value in row.items()
    }
    values["causes"] = tuple(Cause(*cause) for cause in row["causes"])
    return Family(**values)


@cache
def family(key: str) -> Family:
    return next(one for one in families() if one.key == key)
