"""A make or a model that a paper names."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Named:
    """A make or a model named in a paper; of a model `make` is the folded make, where it is known."""

    name: str
    begins: int
    ends: int
    make: str
    is_model: bool


def near(named: Sequence[Named], begins: int, ends: int, reach: int) -> Sequence[Named]:
    """Those of some names in their order that end or begin within so many letters of a place."""
    first = bisect_left(named, begins - reach, key=lambda one: one.ends)
    last = bisect_right(named, ends + reach, key=lambda one: one.begins)
    return named[first:last]
