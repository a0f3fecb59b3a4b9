"""How much a shop holds, in the words of those who work in it."""

from __future__ import annotations

from collections.abc import Mapping

_KNOWN = (
    ("concern", "concern", "concerns"),
    ("note", "note", "notes"),
    ("outcome", "outcome", "outcomes"),
    ("shop_user", "person", "people"),
)


def counted(tables: Mapping[str, int]) -> str:
    """The rows that people of the shop know by name, then all together."""
    known = [(tables.get(table, 0), one, many) for table, one, many in _KNOWN]
    told = ", ".join(f"{count:,} {one if count == 1 else many}" for count, one, many in known)
    return f"{told}; {sum(tables.values()):,} rows in {len(tables)} tables"
