"""One cell of a table as JSON has it, and back, by the kind of its column."""

from __future__ import annotations

from base64 import b64decode, b64encode
from collections.abc import Callable, Mapping
from datetime import date, datetime
from types import MappingProxyType
from typing import Any

from sqlalchemy import Table
from sqlalchemy.types import TypeDecorator, TypeEngine

_TO_JSON: Mapping[type, Callable[[Any], Any]] = MappingProxyType(
    {date: date.isoformat, datetime: datetime.isoformat, bytes: lambda value: b64encode(value).decode()}
)
_FROM_JSON: Mapping[type, Callable[[Any], Any]] = MappingProxyType(
    {date: date.fromisoformat, datetime: datetime.fromisoformat, bytes: b64decode}
)
_JSON_ALREADY = (str, int, float, bool, object)
_WITH_BYTES_AT_ONCE = 8
"""A photo and its small copy are a megabyte or two."""


def to_json(kind: TypeEngine[Any]) -> Callable[[Any], Any] | None:
    """What turns a value of such a column into JSON, None where it is JSON already.

    Raises TypeError for a kind that no export knows yet.
    """
    if value_type(kind) not in (*_TO_JSON, *_JSON_ALREADY):
        raise TypeError(f"An export does not know how to write a column of the kind {kind!r}.")
    return _TO_JSON.get(value_type(kind))


def from_json(kind: TypeEngine[Any]) -> Callable[[Any], Any] | None:
    """The inverse of `to_json`; instants are aware, as they were."""
    return _FROM_JSON.get(value_type(kind))


def value_type(kind: TypeEngine[Any]) -> type:
    """The type of the values of such a column: text, number, day...; object for JSON of any kind."""
    plain = kind.impl_instance if isinstance(kind, TypeDecorator) else kind
    found: type = plain.python_type
    return found


def rows_at_once(table: Table, usual: int) -> int:
    """How many rows of a table are held at a time: few where they hold photos, so that memory stays small."""
    return _WITH_BYTES_AT_ONCE if any(value_type(one.type) is bytes for one in table.columns) else usual
