"""In which encoding a text is written, told by its bytes."""

from __future__ import annotations

import codecs
import re
import unicodedata
from collections.abc import Iterable
from itertools import islice

from kb.nouns.imports import Encoding

_BOMS = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)
_USUAL = frozenset(
    "\u2018\u2019\u201c\u201d\u2013\u2014\u2026\u2022\u00b0\u00bd\u00bc\u00be\u00ae\u2122\u00a9\u00b1\u00a0\u20ac\u00a3"
)
"""Quotes, dashes and signs that stand beside anything."""
_NARROW = (Encoding.WINDOWS, Encoding.MAC, Encoding.LATIN_1)
_LAST_USUAL = "\u00ff"
"""Letters of western Europe; others are rare in files that are not UTF-8."""
_BEYOND = re.compile(rb"[\x80-\xff]+")
_ENOUGH = 4000
"""So many places with letters beyond ASCII tell what they are."""


def wide_encoding(head: bytes) -> str:
    """The two-byte encoding of a text that begins so, with or without a mark in front; empty for none."""
    if head[:2] in _BOMS:
        return "utf-16"
    some = head[: len(head) // 2 * 2][:2000]
    if len(some) < len("RO,x\n"):
        return ""
    even, odd = some[::2].count(0), some[1::2].count(0)
    half = len(some) // 2
    if odd > half * 0.6 and not even:
        return "utf-16-le"
    return "utf-16-be" if even > half * 0.6 and not odd else ""


def narrow_encoding(chunks: Iterable[bytes]) -> Encoding:
    """The one-byte encoding in which letters beyond ASCII stand as people write them, Windows' if all do.

    A letter is usual beside another one, a quote or a dash anywhere; what one encoding has as "é" another has
    as "Ž" or a control sign.
    """
    found: list[bytes] = []
    returns = ends = 0
    for chunk in chunks:
        returns += chunk.count(b"\r")
        ends += chunk.count(b"\n")
        places = islice(_BEYOND.finditer(chunk), _ENOUGH - len(found))
        found += [chunk[max(0, one.start() - 1) : one.end() + 1] for one in places]
    worth = {one: sum(_worth(part.decode(one, "replace")) for part in found) for one in _NARROW}
    if returns and not ends:
        worth[Encoding.MAC] += 1
    return max(_NARROW, key=lambda one: worth[one])


def _worth(part: str) -> int:
    """How usual signs beyond ASCII are where they stand."""
    worth = 0
    for at, sign in enumerate(part):
        if sign.isascii():
            continue
        beside = part[at - 1 : at] + part[at + 1 : at + 2]
        if sign in _USUAL:
            worth += 2
        elif sign == "\ufffd" or unicodedata.category(sign) == "Cc":
            worth -= 3
        elif sign.isalpha() and sign.islower() and sign <= _LAST_USUAL:
            worth += 2 if any(one.islower() for one in beside) else 0
        elif sign.isalpha() and sign <= _LAST_USUAL:
            worth += -1 if part[at - 1 : at].islower() else 1
        else:
            worth -= 1
    return worth
