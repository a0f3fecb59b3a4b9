"""Tables that print the ends of calibration IDs alone, under the line that prints what they begin with:

Calibration TV20T-4410
Current suffix    New suffix
A, B              D
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from kb.intake.text.calibration.ids import PrintedStep, named_last
from kb.intake.text.calibration.words import NEW, OLD, ids_in
from kb.intake.text.paper.layout import Paper
from kb.vehicle.modules import modules_in

_HEAD = re.compile(
    rf"^(?=[^\n]*\b(?:suffix(?:es)?|endings?|last\s+(?:letters?|digits?|characters?))\b)"
    rf"[^\n]*\b(?:{OLD})\b[^\n]*\b(?:{NEW})\b[^\n]*$",
    re.IGNORECASE | re.MULTILINE,
)
_END = r"-?[A-Z0-9]{1,4}"
_ROW = re.compile(
    rf"\n[ \t|]*(?P<old>{_END}(?:[ \t]*(?:,|/|\bor\b|\band\b)[ \t]*{_END})*)"
    rf"(?:[ \t]{{2,}}|[ \t]*(?:\||->)[ \t]*|\t)(?P<new>{_END})[ \t|]*(?=\n|$)"
)
_ENDS = re.compile(_END)
_OPEN = re.compile(r"-(?=\s)")
"""What ends a beginning that goes on in a table."""
_ABOVE = 300


def suffix_steps(paper: Paper) -> Iterator[PrintedStep]:
    """Every step of such tables, in the order of the text."""
    text = paper.text
    for head in _HEAD.finditer(text):
        above = text[max(0, head.start() - _ABOVE) : head.start()]
        bases = list(ids_in(_OPEN.sub(" ", above)))
        row = _ROW.match(text, head.end()) if bases else None
        while row:
            base = bases[-1][0] + ("-" if above[bases[-1].end() : bases[-1].end() + 1] == "-" else "")
            old = tuple(one.span() for one in _ENDS.finditer(text, *row.span("old")))
            module = next((one for _, one in modules_in(head[0])), "") or named_last(above)
            yield PrintedStep(old, row.span("new"), module, base)
            row = _ROW.match(text, row.end())
