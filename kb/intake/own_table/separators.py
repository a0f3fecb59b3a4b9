"""What stands between the columns of a text file, told by how evenly it stands there."""

from __future__ import annotations

import re
from collections import Counter

from kb.nouns.imports import Separator

_QUOTED = re.compile(r'(?<![^,;\t|\r\n])"(?:[^"]|"")*"')
_SAID = re.compile(r"\ufeff?sep=([,;\t|])\s*(?:[\r\n]|$)")


def separator_of(head: str) -> Separator:
    """The separator of a text that begins so. A first line `sep=;`, as spreadsheets write it, says it.

    Otherwise the one of which most lines have the same number, and many: commas stand in sentences too.
    """
    said = _SAID.match(head)
    if said:
        return Separator(said[1])
    lines = [line for line in _QUOTED.sub("", head).splitlines() if line.strip()]
    return max(Separator, key=lambda one: _evenness(lines, one))


def _evenness(lines: list[str], sign: str) -> int:
    """How many of the sign stand in lines that have the usual number of it."""
    counted = Counter(line.count(sign) for line in lines)
    return max((number * times for number, times in counted.items()), default=0)
