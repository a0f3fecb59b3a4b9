"""Which letters of a value that a camera read are to be compared with the original."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from kb.intake.scan.found import Found, Seen
from kb.intake.scan.look_alikes import PRINTED


def compared(one: Found, doubts: Mapping[str, frozenset[int]]) -> Found:
    """What a camera read, with the letters in doubt. A code's first two signs are settled by its form, one
    letter of a VIN is settled by its check digit (1 and J count alike in it), two are not.
    """
    hardly = [
        n for n in _hardly_told(one.value, one.read_from, doubts) if one.field is not Seen.CODE or n > 2
    ]
    if one.field is Seen.VIN and not one.doubtful and len(hardly) < 2:
        return replace(one, doubtful=tuple(n for n in hardly if one.value[n - 1] in "1J"))
    doubtful = {*one.doubtful, *hardly}
    if any(n + 1 in doubtful and _are_narrow(one.value[n - 1 : n + 1]) for n in doubtful):
        doubtful = set(range(1, len(one.value) + 1))
    return replace(one, doubtful=tuple(sorted(doubtful)))


def _are_narrow(letters: str) -> bool:
    """Letters so narrow that two of them are read as one, or one as two."""
    return len(letters) > 1 and set(letters.upper()) <= set("1IJL")


def _hardly_told(value: str, read_from: str, doubts: Mapping[str, frozenset[int]]) -> Iterator[int]:
    """The places of a value, from 1, that were hardly told where it was read; all where the value is longer
    or shorter than what it was read from.
    """
    read = [
        (sign, n - word.start() + 1 in doubts.get(word[0], frozenset()))
        for word in PRINTED.finditer(read_from)
        for n, sign in enumerate(word[0], start=word.start())
        if sign.isalnum()
    ]
    places = [n for n, sign in enumerate(value, start=1) if sign.isalnum()]
    if len(read) == len(places):
        yield from (n for n, (_, doubt) in zip(places, read, strict=True) if doubt)
    elif any(doubt for _, doubt in read):
        yield from places
