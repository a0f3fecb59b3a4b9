"""Money crosses this border: the desk counts the smallest unit, the interface says whole units."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from kb.nouns.currency import to_major, to_minor

MINOR = "_minor"


def in_whole_units(value: Any, currency: str) -> Any:
    """A frozen value as a tree of dicts and lists; `cost_minor: 1250` becomes `cost: 12.5`."""
    if is_dataclass(value) and not isinstance(value, type):
        return _pairs({item.name: getattr(value, item.name) for item in fields(value)}, currency)
    if isinstance(value, Mapping):
        return _pairs(value, currency)
    if isinstance(value, tuple | list):
        return [in_whole_units(item, currency) for item in value]
    return value


def minor_or_none(amount: float | None, currency: str) -> int | None:
    """An amount that may be left out, as the desk counts it."""
    return None if amount is None else to_minor(amount, currency)


def _pairs(items: Mapping[Any, Any], currency: str) -> dict[Any, Any]:
    told = {}
    for name, value in items.items():
        if isinstance(name, str) and name.endswith(MINOR):
            told[name.removesuffix(MINOR)] = None if value is None else to_major(value, currency)
        else:
            told[name] = in_whole_units(value, currency)
    return told
