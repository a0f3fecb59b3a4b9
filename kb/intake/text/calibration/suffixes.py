"""IDs that a list prints by their ends alone or as a range: "0447A, -B and -C", "0447A/B", "0447A thru D"."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator

_SLASHED = re.compile(r"(?P<stem>.*\d)(?P<ends>[A-Z](?:/[A-Z])+)")
_NEXT = re.compile(r"\s*(?:,\s*(?:and|or)\b|,|/|;|&|\band\b|\bor\b)\s*-(?P<end>[A-Z]|\d{2})(?![\w.]|-\w)")
_LAST = re.compile(
    r"\s*(?P<joined>-|\u2013|\bthrough\b|\bthru\b|\bto\b)\s*-?(?P<last>(?P<stem>[A-Z0-9][A-Z0-9._/-]{2,}?)??(?P<end>[A-Z]))"
    r"(?![\w.]|-\w)"
)
_NOT_USED = frozenset("IO")
"""Letters that are left out where they would be read as figures (common practice, no source)."""
_MOST = 12

Spelled = tuple[str, int, int]
"""An ID written out, and where the text says it."""


def ids_at(text: str, begins: int, ends: int, old: Collection[int]) -> Iterator[Spelled]:
    """The ID at a place and those that go on behind it, each written out with its beginning.

    `old` are the places where the old IDs of the step begin: "A to C" is a range only where C is one of them.
    """
    first = text[begins:ends]
    slashed = _SLASHED.fullmatch(first)
    if slashed:
        yield from ((slashed["stem"] + end, begins, ends) for end in slashed["ends"].split("/"))
        return
    yield first, begins, ends
    yield from _of_range(text, first, begins, ends, old)
    while found := _NEXT.match(text, ends):
        stem, ends = first[: -len(found["end"])], found.end()
        if first[-1:].isalpha() == found["end"].isalpha():
            yield stem + found["end"], found.start("end"), ends


def _of_range(text: str, first: str, begins: int, ends: int, old: Collection[int]) -> Iterator[Spelled]:
    """The IDs up to the last letter of a range; the last one itself only where it is not written in full."""
    found = _LAST.match(text, ends)
    stem, letter = first[:-1], first[-1:]
    if not found or found["stem"] not in (None, stem) or not (stem[-1:].isdigit() and letter.isupper()):
        return
    if found["joined"] == "to" and found.start("last") not in old:
        return
    last = ord(found["end"]) + (found["stem"] is None)
    letters = [chr(code) for code in range(ord(letter) + 1, last)]
    if len(letters) < _MOST:
        yield from ((stem + one, begins, found.end()) for one in letters if one not in _NOT_USED)
