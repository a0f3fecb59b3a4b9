"""A text line by line, as it is read for numbers: sentences of prose apart, and no line without an end."""

from __future__ import annotations

import re
from collections.abc import Iterator

_LONGEST_LINE = 300
_ENDS = re.compile(r"\r\n|[\r\n\f]|(?<=[a-z)A-Z0-9]{2}\.) +(?=[A-Z][a-z]+ )")


def lines_of(text: str) -> Iterator[str]:
    """The lines of a text; a longer one is parted behind a bracket or a semicolon, else at a blank, so that
    a whole file without line ends is read piece by piece.
    """
    for line in _ENDS.split(text):
        rest = line
        while len(rest) > _LONGEST_LINE:
            head = rest[:_LONGEST_LINE]
            at = max(map(head.rfind, "}];")) + 1 or max(map(head.rfind, " ,\t|")) + 1 or _LONGEST_LINE
            yield rest[:at]
            rest = rest[at:]
        yield rest
