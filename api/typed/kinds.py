"""Which kind of JSON a field takes: 0 is not no, "5" is no number, and 0 is no day."""

from __future__ import annotations

from collections.abc import Hashable
from datetime import date
from decimal import Decimal
from enum import Enum
from functools import cache
from types import NoneType, UnionType
from typing import Annotated, Literal, Union, get_args, get_origin

from pydantic import BaseModel

Kinds = frozenset[str]
_OF_PYTHON: tuple[tuple[type, str], ...] = (
    (bool, "a yes or no"),
    (int, "a number"),
    (float, "a number"),
    (Decimal, "a number"),
    (str, "a text"),
    (date, "a text"),
    (Enum, "a text"),
    (NoneType, "null"),
)
_ANY: Kinds = frozenset()


def kind_said(value: object) -> str:
    """The kind of what was sent; empty for what is no scalar."""
    return next((kind for python, kind in _OF_PYTHON if isinstance(value, python)), "")


def _is_of_several(annotation: object) -> bool:
    """Of a list or an object, which no scalar is taken for."""
    kind = get_origin(annotation) or annotation
    return isinstance(kind, type) and issubclass(kind, list | tuple | dict | BaseModel)


@cache
def kinds_taken(annotation: Hashable) -> Kinds:
    """The kinds that a field takes; empty where it takes more than scalars."""
    origin, inside = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        return kinds_taken(inside[0])
    if origin in (Union, UnionType):
        each = [kinds_taken(one) for one in inside if not _is_of_several(one)]
        return frozenset().union(*each) if all(each) else _ANY
    if origin is Literal:
        return frozenset(map(kind_said, inside))
    if isinstance(annotation, type):  # a bool is an int to Python: the first kind that fits is the one
        return frozenset([kind for python, kind in _OF_PYTHON if issubclass(annotation, python)][:1])
    return _ANY
