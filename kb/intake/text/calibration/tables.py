"""Tables of calibration IDs: a line that names an old and a new column, and the rows below it.

Columns come apart by TABs, bars or several spaces; where a paper's text lost them, the IDs of a row are
taken in the order of the columns that hold IDs. What stands in one cell of old IDs are all of one step.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from kb.intake.text.calibration.ids import PrintedStep, named_last
from kb.intake.text.calibration.words import NEW, NOUN, OLD, ids_in
from kb.intake.text.paper.layout import Paper
from kb.intake.text.paper.lines import Line
from kb.vehicle.modules import modules_in

_NAMED = r"(?:ID|IDs|P/?N|part\s+(?:number|no\.?)|number|no\.?|code|name)"
_OF_COLUMN = rf"(?:\s*(?:{NOUN}|{_NAMED}|calibration|#))"
_COLUMN = re.compile(
    rf"(?P<old>\b(?:{OLD}|remove|reads?)\b(?:{_OF_COLUMN}){{0,4}})"
    rf"|(?P<new>\b(?:{NEW}|(?:install|load|use|service|flash(?:\s+(?:in|to|with))?)(?=\s+(?:this\b|{NOUN}|{_NAMED})))\b(?:{_OF_COLUMN}){{0,4}})"
    rf"|(?P<other>\b(?:CVN|check\s?sum|hardware|HW|file(?:\s*name)?)\b(?:{_OF_COLUMN}){{0,2}})",
    re.IGNORECASE,
)
_OF_IDS = re.compile(
    rf"\b{NOUN}|\bP/?N\b|\b(?:part\s+(?:number|no)|ID|IDs|number|sticker|label)\b", re.IGNORECASE
)
_OF_SOFTWARE = re.compile(rf"\b(?:{NOUN}|re-?program\w*|re-?flash\w*|re-?load\w*|ECU)\b", re.IGNORECASE)
_SENTENCE = re.compile(r"[a-z]\.(?:\s(?!\s)|$)|\b(?:the|is|are|will|must|should|you|please)\b", re.IGNORECASE)
_OF_NAME = re.compile(r"\b(?!or |and |to |ID |no )[A-Za-z]{3,} \d{4}\Z", re.IGNORECASE)
"""A number behind a word in one cell: the name of a model."""
_OF_PARTS = re.compile(r"parts?\b(?! number)", re.IGNORECASE)
_COUNTED = re.compile(r"\bq(?:uanti)?ty\b", re.IGNORECASE)
_BETWEEN_OLD = re.compile(r"\s*(?:,|/|;|&|or|and)\s*", re.IGNORECASE)
_NO_SLASH = re.compile(r"\s*(?:,|;|&|or|and)\s*", re.IGNORECASE)
"""In a table whose columns a stroke parts."""
_MOST_ROWS = 80
_LONGEST_HEAD = 170
_LOOK_BACK = 600
_MOST_MISSES = 2


def table_steps(paper: Paper) -> Iterator[PrintedStep]:
    """Every step that the tables of a paper print, in its order."""
    n = 0
    while n < len(paper.lines):
        used = _head_lines(paper, n)
        if used:
            head = paper.text[paper.lines[n].begins : paper.lines[n + used - 1].ends]
            last, steps = _rows(paper, n + used, head)
            yield from steps
            n = max(last, n + used)
        else:
            n += 1


def _head_lines(paper: Paper, n: int) -> int:
    """How many lines from this one on are the head of a table of IDs; 0 where it is none."""
    for many in (1, 2, 3):
        if n + many > len(paper.lines):
            return 0
        lines = paper.lines[n : n + many]
        said = paper.text[lines[0].begins : lines[-1].ends]
        if not paper.text[lines[-1].begins : lines[-1].ends].strip() or len(said) > _LONGEST_HEAD:
            return 0
        if any(_ids(paper.text, one) for one in lines) or _SENTENCE.search(said):
            return 0
        kinds = {found.lastgroup for found in _COLUMN.finditer(said)}
        if {"old", "new"} <= kinds and _OF_IDS.search(said):
            return many if _of_software(paper, lines[0].begins, said) else 0
    return 0


def _of_software(paper: Paper, begins: int, head: str) -> bool:
    """Whether the IDs of a table are of software: a table of old and new brackets is none."""
    if _COUNTED.search(head) or _OF_PARTS.match(paper.part_at(begins).label):
        return False
    return bool(
        _OF_SOFTWARE.search(head) or _OF_SOFTWARE.search(paper.text[max(0, begins - _LOOK_BACK) : begins])
    )


def _rows(paper: Paper, n: int, head: str) -> tuple[int, list[PrintedStep]]:
    """The steps below a head, and the line behind the last of them."""
    kinds = [str(found.lastgroup) for found in _COLUMN.finditer(head)]
    apart = _BETWEEN_OLD if " / " not in head else _NO_SLASH
    steps: list[PrintedStep] = []
    open_old: list[tuple[int, int]] = []
    misses, last = 0, n
    for at in range(n, min(n + _MOST_ROWS, len(paper.lines))):
        line = paper.lines[at]
        found = _ids(paper.text, line)
        said = paper.text[line.begins : line.ends]
        if not found:
            misses += 1
            if misses > _MOST_MISSES or (said.strip() and _SENTENCE.search(said)):
                break
            continue
        if _SENTENCE.search(said):
            break
        misses, last = 0, at + 1
        module = _module_in(paper.text, line)
        old, new = _old_and_new(paper.text, found, kinds, apart)
        if new is None:
            open_old += old
        elif old or open_old:
            steps.append(PrintedStep((*open_old, *old), new, module))
            open_old = []
    return last, _with_module_of_head(paper, n, head, steps)


def _old_and_new(
    text: str, found: Sequence[tuple[int, int]], kinds: Sequence[str], apart: re.Pattern[str]
) -> tuple[list[tuple[int, int]], tuple[int, int] | None]:
    """Which IDs of a row are old and which one is new, by cells or by the order of the columns."""
    groups = _grouped(text, found, apart)
    wanted = list(kinds)
    if len(groups) == len(wanted):
        by_kind = list(zip(wanted, groups, strict=True))
    elif len(groups) == 2 or len(groups) < len(wanted):
        by_kind = list(zip([kind for kind in wanted if kind != "other"], groups, strict=False))
    else:
        places = [kind for kind in wanted if kind != "other"]
        news = groups[-1:] if places[-1] == "new" else groups[:1]
        olds = groups[:-1] if places[-1] == "new" else groups[1:]
        by_kind = [*(("old", one) for one in olds), *(("new", one) for one in news)]
    if len(groups) == 1:
        return list(groups[0]), None
    old = [place for kind, group in by_kind if kind == "old" for place in group]
    new = next((group[-1] for kind, group in by_kind if kind == "new"), None)
    return old, new


def _grouped(
    text: str, found: Sequence[tuple[int, int]], apart: re.Pattern[str]
) -> list[list[tuple[int, int]]]:
    """IDs that only a comma or an "or" parts stand in one cell."""
    groups: list[list[tuple[int, int]]] = []
    for place in found:
        if groups and apart.fullmatch(text, groups[-1][-1][1], place[0]):
            groups[-1].append(place)
        else:
            groups.append([place])
    return groups


def _ids(text: str, line: Line) -> list[tuple[int, int]]:
    said = text[line.begins : line.ends]
    found = (one for one in ids_in(said) if not _OF_NAME.search(said, 0, one.end()))
    return [(line.begins + one.start(), line.begins + one.end()) for one in found]


def _module_in(text: str, line: Line) -> str:
    return next((module for _, module in modules_in(text[line.begins : line.ends])), "")


def _with_module_of_head(paper: Paper, n: int, head: str, steps: list[PrintedStep]) -> list[PrintedStep]:
    """The steps, those whose row names no module with the one of the table's head or of the line above it."""
    begins = paper.lines[n - 1].begins if n else 0
    since = max(0, begins - len(head) - 200)
    ends = paper.lines[min(n, len(paper.lines) - 1)].begins
    above = named_last(paper.text[since:ends])
    return [one if one.module else replace(one, module=above) for one in steps]
