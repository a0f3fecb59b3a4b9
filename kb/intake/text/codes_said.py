"""Trouble codes that a paper names, and what it says of each: it marks the condition, may come with it, or
is no part of it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from kb.intake.text.paper.headings import Part
from kb.intake.text.paper.layout import Paper
from kb.intake.text.phrases import phrases
from kb.intake.text.proposal import Field, Proposal
from kb.nouns.notes import CodeKind, NoteCode
from kb.vehicle.codes import note_code, parse_code, printed_codes

_NOT_PART = phrases("code_not_part")
_OF_SOFTWARE = re.compile(
    r"\b(?:software|calibration|version|campaign|bulletin|replaces|part)\b(?:\s+(?:ID|number|no\.?|level|is))?\s*[:#]?\s*"
    r"(?:\w+\s*(?:,|or|and)\s*)?\Z",
    re.IGNORECASE,
)
"""Words before what looks like a code and is the number of a file or a paper."""
_MAY = phrases("code_may_be_stored")


def codes_in_paper(paper: Paper) -> Iterator[Proposal]:
    """Every code once for each thing said of it; a denial is stronger than a "may", and that than naming
    it.
    """
    for begins, ends, code in printed_codes(paper.flat):
        if _OF_SOFTWARE.search(paper.flat, max(0, begins - 40), begins):
            continue
        kind = _said_of(paper, begins, ends)
        yield Proposal(Field.CODE, code, begins, ends, kind=note_code(str(parse_code(code)), kind).kind.value)


def codes_of(texts: Iterable[str]) -> tuple[NoteCode, ...]:
    """The codes that the documents of one note name, each once, with what is said of it first."""
    found: dict[str, NoteCode] = {}
    for text in texts:
        if next(printed_codes(text), None):  # few documents name one, and laying a text out takes time
            for one in codes_in_paper(Paper(text)):
                code = str(parse_code(one.value))
                found.setdefault(code, NoteCode(code, CodeKind(one.kind)))
    return tuple(found.values())


def _said_of(paper: Paper, begins: int, ends: int) -> CodeKind:
    part = paper.part_at(begins)
    since, until = _sentence_around(paper.flat, begins, ends, part.begins)
    said = f"{part.label if part.part in (Part.CODES, Part.AGAINST) else ''} {paper.flat[since:until]}"
    if part.part is Part.AGAINST or _NOT_PART.search(said):
        return CodeKind.NOT_PART
    return CodeKind.MAY_BE_STORED if _MAY.search(said) else CodeKind.DEFINING


def _sentence_around(flat: str, begins: int, ends: int, part_begins: int) -> tuple[int, int]:
    since = max(part_begins, begins - 300)
    for sign in ("\n", ". ", "; "):
        at = flat.rfind(sign, since, begins)
        since = max(since, at + 1)
    stops = [at for sign in ("\n", ". ", "; ") if (at := flat.find(sign, ends, ends + 300)) >= 0]
    return since, min(stops, default=min(len(flat), ends + 300))
