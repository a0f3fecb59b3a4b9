"""Which line of a table names its columns: shops' reports begin with a name, a title, a range of dates."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

Line = tuple[int, Sequence[str]]
Known = Callable[[str], bool]

_VALUE = re.compile(r"[$(]?-?\d[\d.,:/\-\s]*(?:[ap]m|mi|miles|km)?\)?|[A-HJ-NPR-Z0-9]{17}", re.IGNORECASE)
"""A number, an amount, a day, a time, a mileage or a VIN: no name of a column is one."""
_TELLING = 2
"""So many names that are known make a header, whatever stands around it."""
_LONGEST = 60


def header_line_of(lines: Sequence[Line], known: Known) -> int:
    """The number of the line that names the columns, among the first of a file; 0 where none is filled.

    That is the line with the most names that are `known`; where they do not tell, the first that is filled
    as far as the usual one and holds no values; at last the first that is filled.
    """
    filled = [(number, [one for one in map(str.strip, cells) if one]) for number, cells in lines]
    filled = [one for one in filled if one[1]]
    if not filled:
        return 0
    names = [one for one in filled if _may_be_names(one[1])]
    best = max(names, key=lambda one: _known(one[1], known), default=None)
    if best is not None and _known(best[1], known) >= _TELLING:
        return best[0]
    widths = sorted(len(cells) for _, cells in filled)
    usual = widths[len(widths) // 2]
    return next((number for number, cells in names if 2 * len(cells) > usual), filled[0][0])


def _may_be_names(cells: Sequence[str]) -> bool:
    return not any(_VALUE.fullmatch(one) or len(one) > _LONGEST for one in cells)


def _known(cells: Sequence[str], known: Known) -> int:
    return len({one.casefold() for one in cells if known(one)})
