"""The same facts in another shape: what both name alike is copied, and only what differs is said."""

from __future__ import annotations

from dataclasses import fields
from enum import Enum
from typing import Any, TypeVar

Value = TypeVar("Value")


def copied(kind: type[Value], source: object, /, **differs: Any) -> Value:
    """A value of the dataclass `kind` from what `source` has under the same names, and what `differs`.

    Raises AttributeError where the source has no such name.
    """
    same = {one.name: getattr(source, one.name) for one in fields(kind) if one.name not in differs}  # type: ignore[arg-type]  # a dataclass
    return kind(**same, **differs)


def columns_of(value: Any) -> dict[str, Any]:
    """A dataclass's fields as a row keeps them: texts without blanks around, a choice as its text."""
    return {one.name: _plain(getattr(value, one.name)) for one in fields(value)}


def _plain(value: Any) -> Any:
    if isinstance(value, Enum):
        return value.value
    return value.strip() if isinstance(value, str) else value
