"""The rows of a pasted bulletin as its page shows them: in groups to be taken whole, and in the text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from web.pages.notes.paste_rows import GROUPS, Row

_LEAST_MARKED = 3


@dataclass(frozen=True, slots=True)
class Group:
    """A group of fields: for each what an entry is called and its rows with their places."""

    heading: str
    fields: tuple[tuple[str, list[tuple[int, Row]]], ...]

    @property
    def left(self) -> int:
        """How many of its values are not taken yet."""
        rows = (row for _, rows in self.fields for _, row in rows)
        return sum(bool(row.value.strip()) and not row.counts for row in rows)


def with_group_taken(rows: Sequence[Row], heading: str) -> tuple[Row, ...]:
    """The rows, ticked where they hold a value of a field under this heading (none for one unknown)."""
    fields = {field for field, _ in GROUPS.get(heading, ())}
    return tuple(
        replace(row, taken=True) if row.field in fields and row.value.strip() else row for row in rows
    )


def grouped(rows: Sequence[Row]) -> Iterator[Group]:
    """The groups that hold a row, in the order of the page."""
    for heading, fields in GROUPS.items():
        held = [
            (label, [(n, row) for n, row in enumerate(rows) if row.field == field]) for field, label in fields
        ]
        found = tuple((label, of_field) for label, of_field in held if of_field)
        if found:
            yield Group(heading, found)


def marked(text: str, rows: Sequence[Row]) -> Iterator[tuple[str, int | None]]:
    """The text in pieces, each with the place of the row that was read from it, or None."""
    places: list[tuple[int, int, int]] = []
    for number, row in enumerate(rows):
        at = text.find(row.read_from) if len(row.read_from) >= _LEAST_MARKED else -1
        if at >= 0:
            places.append((at, at + len(row.read_from), number))
    done = 0
    for begins, ends, number in sorted(places, key=lambda one: (one[0], -one[1])):
        if begins >= done:
            yield text[done:begins], None
            yield text[begins:ends], number
            done = ends
    yield text[done:], None
