"""A text off a label, a screen or a scan report, line by line, into values that a person may take over.

Nothing is known of any report's own layout: headings, "Module: ..." blocks, tables, "label: value" and
sentences, and the forms of the open standards (SAE J2012 codes, J1979 infotypes, 49 CFR 565 VINs).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from kb.errors import BadInput
from kb.intake.scan.codes_of_line import codes_said, module_in_front, module_of_line
from kb.intake.scan.doubts import compared
from kb.intake.scan.found import Found, Seen, each_once
from kb.intake.scan.labels import Label, Labelled, label_alone, labels_in, module_alone, module_said
from kb.intake.scan.lines_of_text import lines_of
from kb.intake.scan.statuses import status_alone, status_beside, status_headed, ticked
from kb.intake.scan.tables import Column, Table, cells_in, is_rule, table_at
from kb.intake.scan.trouble_codes import codes_in_line
from kb.intake.scan.values import miles_beside_vin, values_behind
from kb.intake.scan.vins import vins_in

LONGEST = 100_000
MOST_FOUND = 400
_RECORD = re.compile(r"[^\w\n]{0,20}(?:dtc|(?:trouble |fault )?code)\W{0,3}[:=]\W{0,5}[PCBU][0-3]", re.I)


@dataclass(slots=True)
class _Place:
    """What the lines above say of the next one; `bare` where the last told a code without its status.

    `by_camera`: of a line that was put together from pieces nobody knows where in it a cell stood.
    """

    by_camera: bool = False
    module: str = ""
    status: str = ""
    table: Table | None = None
    row_module: str = ""
    waiting: Label | None = None
    by_record: bool = False
    by_state: bool | None = None
    inset: int = 0
    held: bool = False
    bare: bool = False
    found: list[Found] = field(default_factory=list)


def read_scan(text: str, *, rivals: Mapping[str, Mapping[int, str]] | None = None) -> tuple[Found, ...]:
    """What a text holds, each value once, in the order of the text. BadInput where it is too long.

    `rivals`: the letters were recognized in a picture, and by word its places, from 1, may be these others.
    """
    if len(text) > LONGEST:
        raise BadInput(
            f"That text is too long: at most {LONGEST:,} characters. Paste the part with the numbers.",
            fields={"text": "too long"},
        )
    by_camera = rivals is not None
    here = _Place(by_camera, found=list(vins_in(text, by_camera=by_camera)))
    lines = list(lines_of(text))
    here.by_record = _is_by_record(lines)
    for line in lines:
        _read_line(here, line.expandtabs(1) if "\t" not in line.strip() else line)
    found = [compared(one, rivals) for one in here.found] if rivals is not None else here.found
    return each_once(tuple(found))[:MOST_FOUND]


def _is_by_record(lines: Sequence[str]) -> bool:
    """Whether each code stands above its own module and status ("Code: ..., Module: ..., Status: ...")."""
    order = [one.label for line in lines for one in labels_in(line)]
    wanted = [one for one in order if one in (Label.CODE, Label.MODULE)]
    return wanted[:2] == [Label.CODE, Label.MODULE] and any(map(_RECORD.match, lines))


def _read_line(here: _Place, line: str) -> None:
    if not line.strip():
        here.table, here.waiting, here.row_module = None, None, ""
        if here.by_record:
            here.module = here.status = ""
        return
    if is_rule(line):
        return
    _leave_block(here, line)
    table = table_at(line)
    if table:
        here.table, here.row_module, here.waiting = table, "", None
        return
    if here.table and here.by_camera and len(cells_in(line, here.table.sign)) > len(here.table.columns):
        _read_words(here, line)
        return
    if here.table and (cells := here.table.cells_of(line)):
        _read_row(here, here.table, cells)
        return
    here.table = None
    if here.bare and _is_status(line):
        _tell_last_code(here, line, "")
    elif not _is_heading(here, line):
        _read_words(here, line)
    here.bare = next(codes_in_line(line), None) is not None and here.found[-1].status == ""


def _is_heading(here: _Place, line: str) -> bool:
    """Take a heading in: a label whose value stands below, a module, or the state of the codes below."""
    if next(codes_in_line(line), None):
        return False
    label = label_alone(line)
    if label and label is not Label.OTHER:
        here.waiting = label
        return True
    if here.by_record:
        return False
    status = status_headed(line)
    module = module_alone(line) or _in_brackets(line)
    if module and (here.waiting in (None, Label.MODULE)):
        here.by_state = bool(status) if here.by_state is None else here.by_state
        here.module, here.waiting = module, None
        here.inset, here.held = _inset(line), False
        here.status = status or (here.status if here.by_state else "")
        return True
    if status is not None and not any(one.label not in (Label.CODE, Label.STATUS) for one in labels_in(line)):
        here.by_state = True if here.by_state is None else here.by_state
        here.module = "" if here.by_state else here.module
        here.status = status
        return True
    return False


def _is_status(line: str) -> bool:
    """Whether a line says the status of a code and no code ("Status: pending")."""
    labels = [one.label for one in labels_in(line)]
    return labels[:1] == [Label.STATUS] and not set(labels) - {Label.STATUS, Label.CODE}


def _in_brackets(line: str) -> str:
    """The module that a heading of few words names in brackets at its end ("Data of ECU 7E8 (ECM)")."""
    found = re.search(r"[(\[]([A-Z][A-Z0-9]{1,5})[)\]]\W*$", line)
    short = len(line.split()) <= 7 and not list(labels_in(line))
    return module_alone(found[1]) if found and short else ""


def _inset(line: str) -> int:
    return len(line) - len(line.lstrip())


def _leave_block(here: _Place, line: str) -> None:
    """A line that stands out as far as the module's own heading, below lines set in, is of no module."""
    if not re.search(r"\w", line) and _inset(line) >= here.inset:
        return
    if _inset(line) > here.inset:
        here.held = True
    elif here.held and '"' not in line:
        here.module, here.held = "", False


def _read_words(here: _Place, line: str) -> None:
    """A line of labels, values and codes."""
    if here.waiting:
        label, here.waiting = here.waiting, None
        if _behind(here, label, line, here.module):
            here.waiting = label
            return
    labels = list(labels_in(line))
    codes = list(codes_in_line(line))
    here.found += miles_beside_vin(line)
    module = module_of_line(line, labels)
    if module and not codes and not here.by_record:
        here.module, here.status = module, ""
    own = module or module_in_front(line, labels) or here.module
    said = list(codes_said(line, codes, module, own, here.status))
    here.found += said
    if not own and len({one.module for one in said}) == 1:
        own = said[0].module
    spans = [*labels, Labelled(Label.OTHER, len(line), len(line))]
    for one, after in zip(labels, spans[1:], strict=True):
        _behind(here, one.label, line[one.ends : after.begins], own)
    if here.by_record and not codes:
        _tell_last_code(here, line, module)


def _behind(here: _Place, label: Label, words: str, module: str) -> bool:
    """Whether values of the label stand in the words, which are then kept."""
    values = list(values_behind(label, words.strip(), module))
    here.found += values
    return bool(values)


def _tell_last_code(here: _Place, line: str, module: str) -> None:
    at = next((n for n in reversed(range(len(here.found))) if here.found[n].field is Seen.CODE), None)
    if at is None:
        return
    status = status_headed(line) or status_beside("", line)
    last = here.found[at]
    here.found[at] = replace(last, module=last.module or module, status=last.status or status)


def _read_row(here: _Place, table: Table, cells: Sequence[tuple[Column, str]]) -> None:
    if table.is_turned:
        label = label_alone(cells[0][1])
        for column, words in cells[1:]:
            if label and column.module:
                _behind(here, label, words, column.module)
                here.found += [
                    Found(Seen.CODE, one.code, words[one.begins : one.ends], column.module, here.status)
                    for one in codes_in_line(words)
                ]
        return
    by_label: dict[Label | None, str] = {column.label: words for column, words in cells if column.label}
    named = by_label.get(Label.MODULE, "").strip()
    if Label.MODULE not in by_label:
        named = next(
            (module for column, words in cells if not column.label and (module := module_alone(words))), ""
        )
    here.row_module = module_said(named) if named.strip("-\u2013\u2014. ") else here.row_module
    module = here.row_module or here.module
    for column, words in cells:
        if column.label:
            _behind(here, column.label, words, module)
    here.found += _codes_of_row(cells, by_label, module, here.status)


def _codes_of_row(
    cells: Sequence[tuple[Column, str]], by_label: dict[Label | None, str], module: str, headed: str
) -> Iterator[Found]:
    tapped = [column.status for column, words in cells if column.status and ticked(words)]
    others = [status_alone(words) for column, words in cells if column.label in (None, Label.OTHER)]
    said = [status_headed(by_label.get(Label.STATUS, "")) or "", *tapped, *others]
    kind = by_label.get(Label.FAILURE_TYPE, "").strip()
    for column, words in cells:
        if column.label is not Label.CODE and (
            column.label not in (None, Label.OTHER) or Label.CODE in by_label
        ):
            continue
        for one in codes_in_line(f"{words} FTB {kind}" if kind else words):
            for status in tapped or [next(filter(None, said), headed)]:
                yield Found(Seen.CODE, one.code, words[one.begins : one.ends].strip(), module, status)
