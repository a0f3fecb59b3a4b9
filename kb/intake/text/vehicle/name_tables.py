"""Models that a table of vehicles names: a line of heads, one of them of models beside one of years or
makes, and the rows below it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from kb.intake.text.paper.headings import Part, part_headed
from kb.intake.text.paper.layout import Paper
from kb.intake.text.paper.lines import Line
from kb.intake.text.vehicle.names import Named
from kb.vehicle.families import fold

_CELL = re.compile(r"(?:(?! {2,})[^|\t\n])+")
_TYPE = re.compile(r"(?:type|vehicle|model(?: name)?)s?", re.IGNORECASE)
_YEARS = re.compile(r"(?:model )?(?:years?|yr)\b.*|my", re.IGNORECASE)
_NAME = re.compile(r"[A-Z][\w'-]*(?: [A-Z0-9][\w'-]*){0,3}")
_MOST_ROWS, _LONGEST = 40, 32
Cell = tuple[str, int]
"""What a cell says, and where it begins."""


def names_in_tables(paper: Paper) -> Iterator[Named]:
    """The makes and models of the tables whose heads tell which column holds the models."""
    for n, line in enumerate(paper.lines):
        columns = _columns([said for said, _ in _cells(paper, line)])
        if columns:
            for row in paper.lines[n + 1 : n + 1 + _MOST_ROWS]:
                cells = _cells(paper, row)
                if len(cells) <= max(columns):
                    break
                yield from _of_row(cells, *columns)


def _cells(paper: Paper, line: Line) -> list[Cell]:
    found = (one for one in _CELL.finditer(paper.text, line.begins, line.ends) if one[0].strip())
    return [(one[0].strip(), one.start() + len(one[0]) - len(one[0].lstrip())) for one in found]


def _columns(heads: Sequence[str]) -> tuple[int, ...]:
    """The columns of models and, where there is one, of makes; none where the heads are of no vehicles."""
    makes = [n for n, said in enumerate(heads) if part_headed(said) is Part.MAKE]
    models = [n for n, said in enumerate(heads) if _TYPE.fullmatch(said)]
    if models and (makes or any(map(_YEARS.fullmatch, heads))):
        return (models[0], *makes[:1])
    return ()


def _of_row(cells: Sequence[Cell], model: int, *makes: int) -> Iterator[Named]:
    made = ""
    for name, begins in (cells[n] for n in makes):
        if _is_name(name):
            made = fold(name)
            yield Named(name, begins, begins + len(name), made, is_model=False)
    name, begins = cells[model]
    if _is_name(name):
        yield Named(name, begins, begins + len(name), made, is_model=True)


def _is_name(said: str) -> bool:
    return len(said) <= _LONGEST and _NAME.fullmatch(said) is not None
