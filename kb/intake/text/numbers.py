"""The numbers that a paper goes by and those that it replaces."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from kb.intake.places import overlaps
from kb.intake.text.bulletin_numbers import BulletinNumber, bulletin_numbers_in
from kb.intake.text.days import days_in
from kb.intake.text.paper.headings import Part
from kb.intake.text.paper.layout import MOST_HEAD_LINES, Paper
from kb.intake.text.proposal import Field, Proposal
from kb.nouns.vehicles import fold_id
from kb.words.normalise import is_code
from kb.words.printed_numbers import RECALL

_REPLACES = re.compile(
    r"\b(?:supersed\w+|replac(?:es?|ing)|discard|cancel(?:s|led)?|takes?\s+the\s+place\s+of)\b(?!\s+by)[^.\n]{0,90}$",
    re.IGNORECASE,
)
_REPLACED_PART = re.compile(r"\b(?:part|p/n|connector|fuse|module|bolt|sensor)\b[^.\n]{0,40}$", re.IGNORECASE)
_IS_REPLACED = re.compile(
    r"[^.\n]{0,60}?\b(?:(?:has|have|is|was)\s+(?:been\s+)?)?(?:superseded|replaced)\s+by\b", re.IGNORECASE
)
_BEFORE = re.compile(
    r"\b(?:refer\w*\s+(?:to\s+)?|see(?:\s+also)?|previous(?:ly)?|prior|earlier|involved\s+in|(?:repaired|recalled|done|performed)\s+under|remed\w+\s+(?:under|in)|completed\s+under"
    r"|in\s+accordance\s+with|standard\s+no\.?|fmvss|superseded\s+by|replaced\s+by|(?:additional\s+information|instructions?)\s+(?:in|on))\b[^.;\n]{0,48}$|\b(?:use|under(?:\s+new)?(?:\s+(?:recall|campaign(?:\s+ID:?)?))?)\s+$",
    re.IGNORECASE,
)
_BARE_CODE = re.compile(
    r"[\s(/,\u2013-]{0,6}(?P<code>[A-Z]{1,3}\d{2,5}[A-Z]?\d?|\d{2}[A-Z]\d{2,3}|\d{3,4}[A-Z]?)\)(?!\w)"
)
_HEADED = re.compile(r"[\s:#]*(?P<number>(?=[\w./-]*\d)[A-Za-z0-9]+(?:[-./\u2013][A-Za-z0-9]+)*)(?![\w])")
_BEGINS = re.compile(
    r"\s*(?P<number>[A-Z]{1,4}-?\d{2,5}[A-Z]?)(?:\s*\((?i:rev)[^)\n]{0,12}\))?\s+[-\u2013]\s"
)
"""A number that a text begins with, parted by a dash from what it is."""
_BY_ID = re.compile(r"^[ \t]*[A-Z][\w.]+[ \t]ID:?[ \t]+(?P<number>[A-Z]{2,4}-?\d{2,4})\b", re.MULTILINE)
"""The maker's own number in the first lines: "Tarn ID TRC-22"."""
_CORNER = re.compile(
    r"(?:^|[ \t]{2,})(?P<number>(?:(?!PAGE|REV|DATE)[A-Z]{2,5} )?(?=[\w/-]*\d)[A-Z0-9]+(?:[-/][A-Z0-9]+)+"
    r"|[A-Z]{2}(?: \d{2,3}){3})[ \t\r]*$",
    re.MULTILINE,
)
"""A number alone at the margin of the first lines, where papers print theirs."""
_NUMBER = (
    r"(?P<number>(?:[A-Z]{2,4} )?(?=[\w/-]*\d)[A-Z0-9]+(?:[-/][A-Z0-9]+)+|[A-Z]{2}(?: \d{2,3}){3})(?![\w/-])"
)
_TOLD_REPLACED = (
    re.compile(
        rf"\b(?i:replaces|supersedes|takes\s+the\s+place\s+of)\s+(?i:bulletin\s+|circular\s+)?{_NUMBER}"
    ),
    re.compile(
        rf"(?<![\w/-]){_NUMBER}\s+(?:is|was|has\s+been)\s+(?:hereby\s+)?(?:closed|withdrawn|cancell?ed|retired|obsolete)\b"
    ),
)
_SERIES = re.compile(r"(?<![\w-])(?!TSB|TSI|SB|TB|SI|NO|NR|REF|ID|RE|PI|OF|ON|FOR|AND|REV)[A-Z]{2,3} \Z")
_OF_HEAD = re.compile(
    r"(?<![\w./-])(?:(?!MY)[A-Z]{1,6}-?\d{2,6}[A-Z]?(?:-[A-Z\d]{1,5})*|\d{2,3}-[A-Z]{1,3}-?\d{2,5}|\d{2,3}-\d{3,4}(?:-\d{1,3})?[A-Z]?|\d{2,4}-[A-Z])(?![\w/.-]\w|[\w-])"
)
_MOST_OF_HEAD = 400
_TWO_FIGURES = re.compile(r"\d{2}-\d{2,4}[A-Z]?")
"""Numbers that two or three capitals, parted by a blank, belong to: "NV 22-017"."""


def numbers_in(paper: Paper, ids: Sequence[tuple[int, int]] = ()) -> Iterator[Proposal]:
    """What a paper is numbered and which papers it replaces; what stands at `ids` is no number."""
    flat = paper.flat
    found = [one for one in bulletin_numbers_in(flat) if not overlaps(one.begins, one.ends, ids)]
    found = sorted((*found, *_headed(paper, found)), key=lambda one: one.begins)
    found = found or list(_in_corner(paper)) or list(_in_first_lines(paper, ids))
    found = sorted((*found, *_beside(flat, found)), key=lambda one: one.begins)
    told = [one for one in _told_replaced(paper.text) if not overlaps(one.begins, one.ends, ids)]
    taken = [(one.begins, one.ends) for one in told]
    found = [one for one in found if not overlaps(one.begins, one.ends, taken)]
    replaced = [*told, *(one for one in found if _is_replaced(paper, one))]
    left_out = {fold_id(one.number) for one in replaced}
    first = {fold_id(one.number): one for one in reversed(found)}
    left_out |= {folded for folded, one in first.items() if _is_another(paper, one)}
    own = [one for one in found if fold_id(one.number) not in left_out]
    for one in replaced:
        yield Proposal(Field.REPLACES, one.number, one.begins, one.ends)
    for one in own:
        series = _SERIES.search(flat, max(0, one.begins - 5), one.begins)
        begins = series.start() if series and _TWO_FIGURES.fullmatch(one.number) else one.begins
        yield Proposal(Field.NUMBER, paper.text[begins : one.ends], begins, one.ends)


def _headed(paper: Paper, found: Sequence[BulletinNumber]) -> Iterator[BulletinNumber]:
    """Numbers of any form right behind a heading of numbers, and the one that the text begins with."""
    known = {one.begins for one in found}
    for form in (_BY_ID, *([] if known else [_BEGINS])):
        first = form.search(paper.text, 0, _MOST_OF_HEAD)
        if first and first.start("number") not in known and not is_code(first["number"]):
            yield BulletinNumber(first["number"], *first.span("number"), told=True)
    for part in paper.of(Part.NUMBER, Part.REPLACES):
        match = _HEADED.match(paper.flat, part.begins, part.ends)
        if (
            match
            and match.start("number") not in known
            and len(match["number"]) > 2
            and not _is_day(match["number"])
        ):
            yield BulletinNumber(match["number"], match.start("number"), match.end("number"), told=True)


def _in_corner(paper: Paper) -> Iterator[BulletinNumber]:
    head = paper.head
    for match in _CORNER.finditer(paper.text, 0, head[-1].ends if head else 0):
        if not _is_day(match["number"]) and not days_in(match["number"]):
            yield BulletinNumber(match["number"], *match.span("number"), told=False)


def _in_first_lines(paper: Paper, ids: Sequence[tuple[int, int]]) -> Iterator[BulletinNumber]:
    """The first word of the first lines that joins letters and figures as numbers of papers do."""
    head = paper.head
    for match in _OF_HEAD.finditer(paper.text, 0, head[-1].ends if len(head) == MOST_HEAD_LINES else 0):
        if not (_is_day(match[0]) or days_in(match[0]) or is_code(match[0])):
            one = BulletinNumber(match[0], *match.span(), told=False)
            if not overlaps(one.begins, one.ends, ids):
                yield one
                return


def _told_replaced(text: str) -> Iterator[BulletinNumber]:
    """Numbers of any form right behind "replaces", or of which the paper says that they are withdrawn."""
    for form in _TOLD_REPLACED:
        for match in form.finditer(text):
            if not _is_day(match["number"]):
                yield BulletinNumber(match["number"], *match.span("number"), told=True)


def _is_day(word: str) -> bool:
    return re.fullmatch(r"\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4}|(?:19|20)\d\d", word) is not None


def _beside(flat: str, found: Sequence[BulletinNumber]) -> Iterator[BulletinNumber]:
    """The maker's own code in brackets behind the number of a recall: "20V-793 (TN523)"."""
    known = {one.begins for one in found}
    for one in found:
        match = _BARE_CODE.match(flat, one.ends)
        if match and RECALL.fullmatch(one.number) and match.start("code") not in known:
            yield BulletinNumber(match["code"], match.start("code"), match.end("code"), told=True)


def _is_replaced(paper: Paper, one: BulletinNumber) -> bool:
    if paper.part_at(one.begins).part is Part.REPLACES:
        return True
    ahead = paper.flat[max(0, one.begins - 100) : one.begins]
    said = _REPLACES.search(ahead)
    if _IS_REPLACED.match(paper.flat, one.ends):
        return False
    return said is not None and not _REPLACED_PART.search(said[0])


def _is_another(paper: Paper, one: BulletinNumber) -> bool:
    """Whether it is the number of a paper that is only spoken of."""
    part = paper.part_at(one.begins).part
    ahead = paper.flat[max(0, one.begins - 70) : one.begins]
    if part is Part.NUMBER and paper.part_at(one.begins).begins > one.begins - 30:
        return False
    return bool(_BEFORE.search(ahead)) or part in (Part.CALIBRATIONS, Part.PAPERWORK, Part.CODES)
