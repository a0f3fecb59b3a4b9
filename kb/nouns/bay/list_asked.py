"""Which concerns a list is asked for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

NOTHING = "nothing"
"""Asked for in place of what a concern waits for: those that somebody can go on with."""


@dataclass(frozen=True, slots=True)
class ListAsked:
    """`state`: open, closed, or empty for all. `text` is part of an RO number, a VIN or the complaint.

    `mine`: the name of who opened it or wrote something down on it; `waiting_for`: what it waits for, or
    `NOTHING`; `module`: as people call it. What is empty narrows nothing.
    """

    state: str = "open"
    text: str = ""
    mine: str = ""
    waiting_for: str = ""
    module: str = ""


@dataclass(frozen=True, slots=True)
class OpenByKind:
    """How many open concerns there are to be narrowed to: by what they wait for, and by module."""

    mine: int
    waiting_for: Mapping[str, int]
    modules: Mapping[str, int]
