"""The operating system of the shop's computers, held against the one that a make asks for."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

_WORD = re.compile(r"\d+(?:\.\d+)*(?:-\w+)?|[^\W\d_]+(?:-\w+)?")
_FILLER = frozenset(("a", "an", "the", "or", "of", "on", "with", "and", "operating", "system", "version"))
_OR_NEWER = re.compile(r"\b(?:or|and)\s+(?:newer|later|higher|above|up)\b|\bat least\b|\bminimum\b", re.I)
_MEANINGLESS = frozenset(("newer", "later", "higher", "above", "up", "at", "least", "minimum"))


@dataclass(frozen=True, slots=True)
class Computer:
    """A computer of the shop with what is written down of its operating system."""

    name: str
    system: str


def fits(asked: str, system: str) -> bool | None:
    """Whether a computer has what is asked for; None where nothing is written down of one of the two.

    Every word asked for is among its words; a version "or newer" may be higher, and 11 is met by 11.4.
    """
    wanted = [one for one in _words(asked) if one not in _MEANINGLESS]
    has = _words(system)
    if not wanted or not has:
        return None
    newer = bool(_OR_NEWER.search(asked))
    return all(any(_meets(want, have, newer) for have in has) for want in wanted)


def fitting(asked: str, computers: Sequence[Computer]) -> dict[bool | None, tuple[str, ...]]:
    """Names of computers that have it, that have not, and of which nobody wrote it down."""
    told = [(one.name, fits(asked, one.system)) for one in computers]
    return {answer: tuple(name for name, said in told if said is answer) for answer in (True, False, None)}


def _words(text: str) -> list[str]:
    return [one for one in _WORD.findall(text.casefold()) if one not in _FILLER]


def _meets(want: str, have: str, newer: bool) -> bool:
    if not re.fullmatch(r"\d+(\.\d+)*", want) or not re.fullmatch(r"\d+(\.\d+)*", have):
        return want == have
    asked, is_now = (tuple(map(int, one.split("."))) for one in (want, have))
    return is_now >= asked if newer else is_now[: len(asked)] == asked
