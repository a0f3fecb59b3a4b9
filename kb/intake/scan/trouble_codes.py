"""Trouble codes of a line by the form of SAE J2012, a slip of O for 0 or I for 1 settled by it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from kb.errors import BadInput
from kb.intake.scan.look_alikes import as_figures
from kb.vehicle.codes import parse_code

_CODE = re.compile(
    r"(?<![A-Za-z0-9._/-])(?P<letter>[PCBUpcbu])(?P<base>[0-3OoIl][0-9A-Fa-fOoIl]{3})"
    r"(?P<type>(?:[-:._/][0-9A-Fa-fOo]{2}|[0-9A-Fa-f]{2})(?![A-Za-z0-9])"
    r"|\ [0-9A-F]{2}(?=\s*$|\s{2,}|\s*[|,;\t(]|\s[-\u2013]\s))?"
    r"(?![A-Za-z0-9]|\.\d|-\d{3})"
)
_TYPE_NAMED = re.compile(
    r"^[\s,;|(\[\"']{0,4}(?:FTB|failure\s*type(?:\s*byte)?|sub\s*-?type|symptom\s*byte)[\s:=#\"']*(?:0x)?([0-9A-F]{2})\b",
    re.I,
)
_LEAST_FIGURES = 2


@dataclass(frozen=True, slots=True)
class CodeHere:
    """A code and where it stands in the line."""

    code: str
    begins: int
    ends: int


def codes_in_line(line: str) -> Iterator[CodeHere]:
    """The codes that a line prints, with their failure type."""
    for found in _CODE.finditer(line):
        base = found["base"]
        if sum(sign.isdigit() for sign in base) < _LEAST_FIGURES:
            continue
        kind = re.sub(r"[^0-9A-F]", "", as_figures(found["type"] or ""))
        named = _TYPE_NAMED.match(line[found.end() :]) if not kind else None
        kind = named[1].upper() if named else kind
        try:
            code = parse_code(f"{found['letter'].upper()}{as_figures(base)}{'-' if kind else ''}{kind}")
        except BadInput:
            continue
        yield CodeHere(str(code), found.start(), found.end() + (named.end() if named else 0))
